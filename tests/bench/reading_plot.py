"""Draws what reading costs over the picture's size and over the count of labels, as SVG: is it a straight line?"""

import math
import statistics

WIDTH, HEIGHT, MARGIN, GAP = 860, 320, 60, 70
INK, GRID, LINE, FIT = "#222", "#ccc", "#1b5e8c", "#a33"


def _top(value):
    step = 10 ** math.floor(math.log10(value))
    return next(factor * step for factor in (1, 1.5, 2, 3, 5, 8, 10) if value <= factor * step)


def _chart(x, y, width, height, title, under, points):
    right, top = points[-1][0], _top(max(value for _, value in points))

    def at(place, value):
        return x + place / right * width, y + height - value / top * height

    step, start = statistics.linear_regression(*zip(*points))
    out = [f'<text x="{x}" y="{y - 12}" font-size="14" font-weight="bold" fill="{INK}">{title}</text>']
    for part in range(5):
        level = y + height - part / 4 * height
        out.append(f'<line x1="{x}" y1="{level:.1f}" x2="{x + width}" y2="{level:.1f}" stroke="{GRID}"/>'
                   f'<text x="{x - 6}" y="{level + 4:.1f}" font-size="11" text-anchor="end" fill="{INK}">{top * part / 4:g}</text>')
    (x1, y1), (x2, y2) = at(0, max(start, 0)), at(right, start + step * right)
    out.append(f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{FIT}" stroke-dasharray="6 4"/>')
    path = " ".join(f"{px:.1f},{py:.1f}" for px, py in (at(*point) for point in points))
    out.append(f'<polyline points="{path}" fill="none" stroke="{LINE}" stroke-width="2"/>')
    for place, value in points:
        px, py = at(place, value)
        out.append(f'<circle cx="{px:.1f}" cy="{py:.1f}" r="3.5" fill="{LINE}"/>'
                   f'<text x="{px:.1f}" y="{y + height + 15}" font-size="11" text-anchor="middle" fill="{INK}">{place}</text>')
    out.append(f'<text x="{x + width / 2:.1f}" y="{y + height + 34}" font-size="12" text-anchor="middle" fill="{INK}">{under}</text>')
    return out


def draw(by_size, by_count):
    width, height = (WIDTH - 2 * MARGIN - GAP) / 2, HEIGHT - 2 * MARGIN
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" role="img" '
           'aria-label="CPU time of reading a picture over its megapixels and over its labels">',
           f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>']
    out += _chart(MARGIN, MARGIN, width, height, "CPU of reading, ms: size", "megapixels, ten labels in each", by_size)
    out += _chart(MARGIN + width + GAP, MARGIN, width, height, "CPU of reading, ms: count", "labels on 12 megapixels", by_count)
    out.append(f'<text x="{WIDTH / 2}" y="{HEIGHT - 4}" font-size="11" text-anchor="middle" fill="{FIT}">'
               'dashed: the straight line through the points by least squares</text></svg>')
    return "\n".join(out) + "\n"
