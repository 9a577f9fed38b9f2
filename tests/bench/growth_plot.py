"""Draws what must not grow with the ledger, as SVG: four small charts over the count of movements."""

import math

WIDTH, HEIGHT, MARGIN, GAP = 860, 560, 60, 70
INK, GRID, LINE, GOAL = "#222", "#ccc", "#1b5e8c", "#a33"


def _short(value):
    for unit, size in (("M", 1e6), ("k", 1e3)):
        if value >= size:
            return f"{value / size:g} {unit}"
    return f"{value:g}"


def _nice_top(value):
    step = 10 ** math.floor(math.log10(value))
    for factor in (1, 2, 5, 10):
        if value <= factor * step:
            return factor * step
    return 10 * step


def _chart(x, y, width, height, title, points, goal, goal_words):
    """Movements on a logarithmic axis, the value from 0."""
    low, high = math.log10(points[0][0]), math.log10(points[-1][0])
    top = _nice_top(max([value for _, value in points] + ([goal] if goal else [])))

    def at(movements, value):
        share = (math.log10(movements) - low) / (high - low) if high > low else 0.5
        return x + share * width, y + height - value / top * height
    out = [f'<text x="{x}" y="{y - 12}" font-size="14" font-weight="bold" fill="{INK}">{title}</text>']
    for part in range(5):
        level = y + height - part / 4 * height
        out.append(f'<line x1="{x}" y1="{level:.1f}" x2="{x + width}" y2="{level:.1f}" stroke="{GRID}"/>')
        out.append(f'<text x="{x - 6}" y="{level + 4:.1f}" font-size="11" text-anchor="end" fill="{INK}">'
                   f'{_short(top * part / 4)}</text>')
    if goal:
        level = at(points[0][0], goal)[1]
        out.append(f'<line x1="{x}" y1="{level:.1f}" x2="{x + width}" y2="{level:.1f}" stroke="{GOAL}" '
                   f'stroke-dasharray="6 4"/><text x="{x + width}" y="{level - 4:.1f}" font-size="11" text-anchor="end" '
                   f'fill="{GOAL}">{goal_words}</text>')
    path = " ".join(f"{px:.1f},{py:.1f}" for px, py in (at(*point) for point in points))
    out.append(f'<polyline points="{path}" fill="none" stroke="{LINE}" stroke-width="2"/>')
    for movements, value in points:
        px, py = at(movements, value)
        out.append(f'<circle cx="{px:.1f}" cy="{py:.1f}" r="3.5" fill="{LINE}"/>')
        out.append(f'<text x="{px:.1f}" y="{y + height + 15}" font-size="11" text-anchor="middle" fill="{INK}">'
                   f'{_short(float(f"{movements:.2g}"))}</text>')
    return out


def draw(sizes):
    def points(value):
        return [(size["movements"], value(size)) for size in sizes]
    slowest = points(lambda size: max(row["p99"] for row in size["routes"].values()))
    charts = [
        ("CPU of an act, µs", points(lambda size: size["act_us"]), None, ""),
        ("Dearest read of any page, p99 CPU, ms", slowest, 5, "goal: under 5 ms"),
        ("Bytes on disk a movement", points(lambda size: size["bytes"]), None, ""),
        ("Verified movements a second of CPU", points(lambda size: size["verify"]), 200000, "goal: over 200 000"),
    ]
    width, height = (WIDTH - 2 * MARGIN - GAP) / 2, (HEIGHT - 2 * MARGIN - GAP) / 2
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" role="img" '
           'aria-label="What an act, a read, a byte and a check cost while the ledger grows">',
           f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>']
    for number, (title, values, goal, words) in enumerate(charts):
        x = MARGIN + number % 2 * (width + GAP)
        y = MARGIN + number // 2 * (height + GAP)
        out += _chart(x, y, width, height, title, values, goal, words)
    out.append(f'<text x="{WIDTH / 2}" y="{HEIGHT - 10}" font-size="12" text-anchor="middle" fill="{INK}">'
               'movements in the ledger (logarithmic)</text></svg>')
    return "\n".join(out) + "\n"
