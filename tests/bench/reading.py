"""Measures the reader: against a floor, against peers on shelves it was not tuned on, and over size and count."""

import collections
import json
import pathlib
import resource
import shutil
import statistics
import subprocess
import sys

import reading_plot

HERE = pathlib.Path(__file__).resolve().parent
FIRST_SEED = 1_000_001  # the ratchet (tests/pictures/found.txt) uses seeds from 1 on
LIBDMTX_MS = 10_000  # wall time a picture; it would go on for minutes

Picture = collections.namedtuple("Picture", "path truth")
Answer = collections.namedtuple("Answer", "symbols cpu_ms process_ms")


def run(arguments, **more):
    """Standard output, and the CPU milliseconds of the whole child."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([str(word) for word in arguments], capture_output=True, check=True, **more)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return done.stdout, 1000 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def make(build, folder, kind, seed, *more):
    path = folder / f"{kind}-{seed}{''.join(map(str, more))}.pgm"
    run([build / "tests/pictures/make_pictures", kind, seed, path, *more])
    truth = json.loads(path.with_suffix(".json").read_text())
    return Picture(path, [symbol["hex"] for symbol in truth["symbols"]])


def read_ours(build, picture, repeat=1):
    out, process = run([build / "ambershelf", "read", "--json", "--repeat", repeat, picture.path])
    answer = json.loads(out)
    return Answer([symbol["hex"] for symbol in answer["symbols"]], answer["cpu_ms"], process)


def read_libdmtx(build, picture, milliseconds):
    out, process = run([build / "tests/bench/bench_read_libdmtx", picture.path, milliseconds])
    answer = json.loads(out)
    return Answer(answer["symbols"], answer["cpu_ms"], process)


def read_zxing(_, picture):
    """ZXingReader tells bytes by name, <GS> for one, and says so by -1; nothing here has a < of its own."""
    out, process = run(["ZXingReader", "-1", "-format", "DataMatrix", picture.path])
    names = {"<GS>": "\x1d", "<RS>": "\x1e", "<EOT>": "\x04"}
    symbols = []
    for line in out.decode("latin-1").splitlines():
        if ' DataMatrix "' not in line:
            continue
        text = line.split(' DataMatrix "', 1)[1].rsplit('"', 1)[0]
        for name, byte in names.items():
            text = text.replace(name, byte)
        symbols.append(text.encode("latin-1").hex().upper())
    return Answer(symbols, process, process)


def read_zxing_now(pictures):
    """All at once: recognition only, WebAssembly's time says nothing of the library's. None when it cannot be run."""
    if not shutil.which("node"):
        print("current zxing-cpp: skipped, no Node here")
        return None
    if not (HERE / "node_modules/zxing-wasm").is_dir():
        try:
            run(["npm", "ci", "--no-audit", "--no-fund", "--silent"], cwd=HERE)
        except (OSError, subprocess.CalledProcessError):
            print("current zxing-cpp: skipped, npm could not install tests/bench/package.json")
            return None
    names = "".join(f"{picture.path}\n" for picture in pictures)
    out, _ = run(["node", HERE / "read_zxing.mjs"], input=names.encode())
    return [Answer(json.loads(line)["symbols"], 0, 0) for line in out.splitlines()]


def count(pictures, answers):
    """(found, wrong): what is reported twice counts once; wrong is what no symbol of the picture says."""
    found = wrong = 0
    for picture, answer in zip(pictures, answers):
        found += len(set(answer.symbols) & set(picture.truth))
        wrong += len(set(answer.symbols) - set(picture.truth))
    return found, wrong


def floor(build, folder, quick):
    """Each picture in turn, so that what else the machine does meets all alike; of the ratios too the median."""
    print("the floor: tiles' darkest and lightest, limits, one bit a pixel, every border followed once; median CPU ms")
    for name, kind, pictures in (("12 megapixels, shelves", "shelf", 7), ("1280 x 720, a label", "frame", 12)):
        seeds = range(FIRST_SEED, FIRST_SEED + (1 if quick else pictures))
        pictures, rows = [make(build, folder, kind, seed) for seed in seeds], []
        for picture in (1 if quick else 3) * pictures:
            out, _ = run([build / "tests/bench/bench_picture_floor", picture.path, 3 if quick else 9])
            low, ours = json.loads(out), read_ours(build, picture, 3 if quick else 9)
            rows.append((low["mask_ms"], low["cpu_ms"], ours.cpu_ms, ours.cpu_ms / low["cpu_ms"]))
        mask, low, ours, ratio = (statistics.median(column) for column in zip(*rows))
        print(f"  {name:<24} floor {low:7.2f} ({mask:.2f} of it before the borders), ours {ours:7.2f}: {ratio:5.2f} times")
    print(flush=True)


def shelves(build, folder, quick):
    """Pictures until there are 510 labels."""
    more = ("--pixels", 1600, 1200, "--labels", 6) if quick else ()
    pictures, seed = [], FIRST_SEED
    while len(pictures) < 2 or not quick and sum(len(picture.truth) for picture in pictures) < 510:
        pictures.append(make(build, folder, "shelf", seed, *more))
        seed += 1
    return pictures


def print_peer(name, pictures, answers, times, note=""):
    found, wrong = count(pictures, answers)
    labels = sum(len(picture.truth) for picture in pictures)
    said = f"{statistics.median(times):9.1f}" if times else f"{'':>9}"
    print(f"  {name:<26}{len(pictures):>4} pictures{found:>5} of {labels:<4}{wrong:>3} wrong {said}   {note}", flush=True)


def against_peers(build, folder, quick):
    pictures = shelves(build, folder, quick)
    bounded = pictures[:1 if quick else 4]
    print(f"shelves that nothing was tuned on, seeds from {FIRST_SEED}: found, wrong, median CPU ms a picture, rounds by turns")
    ours, zxing, times = [], [], collections.defaultdict(list)
    for number in range(1 if quick else 3):
        for picture in pictures:
            one, other = read_ours(build, picture), read_zxing(build, picture)
            times["ours"].append(one.cpu_ms)
            times["our process"].append(one.process_ms)
            times["zxing"].append(other.process_ms)
            if number == 0:
                ours.append(one)
                zxing.append(other)
    libdmtx = [read_libdmtx(build, picture, 500 if quick else LIBDMTX_MS) for picture in bounded]
    print_peer("ours", pictures, ours, times["ours"], "reading alone")
    print_peer("ours", pictures, ours, times["our process"], "the whole process, file and all")
    print_peer("zxing-cpp 1.4 (Debian)", pictures, zxing, times["zxing"], "the whole process, file and all")
    print_peer("libdmtx 0.7 (Debian)", bounded, libdmtx, [answer.cpu_ms for answer in libdmtx],
               f"reading alone, stopped after {0.5 if quick else LIBDMTX_MS / 1000:g} s; fewer pictures")
    print_peer("ours, the same pictures", bounded, ours[:len(bounded)], [answer.cpu_ms for answer in ours[:len(bounded)]])
    now = None if quick and not (HERE / "node_modules").is_dir() else read_zxing_now(pictures)
    if now:
        print_peer("zxing-cpp now (npm, wasm)", pictures, now, [], "recognition only")
    print()
    if count(pictures, ours)[1] > 0:
        sys.exit("a wrong read of ours")


def frames(build, folder, quick):
    """Live frames: every answer of a seed, and for peers a few."""
    seeds = range(FIRST_SEED, FIRST_SEED + (2 if quick else 12))
    print("frames of 1280 x 720: found, median CPU ms a picture (zxing-cpp: the whole process; libdmtx: stopped after 1 s)")
    for kind in ("frame", "empty", "text", "noise"):
        pictures = [make(build, folder, kind, seed) for seed in seeds]
        ours, zxing, times = [], [], collections.defaultdict(list)
        for number in range(1 if quick else 5):
            for picture in pictures:
                one, other = read_ours(build, picture, 3), read_zxing(build, picture)
                times["ours"].append(one.cpu_ms)
                times["zxing"].append(other.process_ms)
                if number == 0:
                    ours.append(one)
                    zxing.append(other)
        few = pictures[:1 if quick else 4]
        libdmtx = [read_libdmtx(build, picture, 1000) for picture in few]
        print_peer(f"{kind}: ours", pictures, ours, times["ours"])
        print_peer(f"{kind}: zxing-cpp 1.4", pictures, zxing, times["zxing"])
        print_peer(f"{kind}: libdmtx", few, libdmtx, [answer.cpu_ms for answer in libdmtx])
    print()


def straight_line(points):
    """Least squares: (at 0, a step, the farthest point's distance as a part of the greatest value)."""
    step, start = statistics.linear_regression(*zip(*points))
    return start, step, max(abs(y - start - step * x) for x, y in points) / max(y for _, y in points)


def curve_points(build, folder, quick, wanted):
    """wanted: (place on the axis, labels, more words for make_pictures). The mean over pictures, each the median of its
    rounds: grounds differ. Pictures are made for one place at a time, as 20 megapixels take their room in memory."""
    points = []
    for place, labels, more in wanted:
        pictures = [make(build, folder, "many", FIRST_SEED + number, "--labels", labels, *more)
                    for number in range(1 if quick else 4)]
        for picture in pictures:
            if len(picture.truth) != labels:
                print(f"  {picture.path.name}: {len(picture.truth)} labels found a place, {labels} were wanted")
        rounds = [[read_ours(build, picture, 3).cpu_ms for picture in pictures] for _ in range(1 if quick else 5)]
        points.append((place, statistics.mean(statistics.median(times) for times in zip(*rounds))))
        for picture in pictures:
            picture.path.unlink()
    return points


def curve(build, folder, quick, plot):
    by_size = curve_points(build, folder, quick, [
        (size, 10, ("--pixels", round(1000 * (size * 4 / 3) ** 0.5), round(1000 * (size * 3 / 4) ** 0.5)))
        for size in ((1, 4) if quick else (1, 2, 4, 8, 12, 16, 20))])
    by_count = curve_points(build, folder, quick, [(labels, labels, ())
                                                   for labels in ((0, 20) if quick else (0, 25, 50, 100, 150, 200))])
    for name, points in (("1 to 20 megapixels, ten labels", by_size), ("0 to 200 labels, 12 megapixels", by_count)):
        start, step, off = straight_line(points)
        print(f"{name}: " + ", ".join(f"{x}: {y:.1f}" for x, y in points) + " ms CPU")
        print(f"  {start:.1f} ms and {step:.2f} ms each; no point is farther from this line than {100 * off:.0f} % of the dearest")
    if plot:
        plot.write_text(reading_plot.draw(by_size, by_count))


def measure(build, folder, quick, plot):
    floor(build, folder, quick)
    against_peers(build, folder, quick)
    frames(build, folder, quick)
    curve(build, folder, quick, plot)
