"""Labels from the outside: the bytes they must say, pages as the printer got them, pictures, and three readers."""

import json
import re
import struct

import processes
import settings

RS, GS, EOT = b"\x1e", b"\x1d", b"\x04"

# ISO/IEC 15434 envelope, format 06, with ANSI MH10.8.2 data identifiers.
def envelope(*fields):
    return b"[)>" + RS + b"06" + GS + GS.join(field.encode() for field in fields) + RS + EOT


def card(word):
    return envelope("Z" + word)


def place(code):
    return envelope("L" + code)


def badge(serial):
    return envelope("S" + serial)


def unit(row):
    """What the label of a unit must say, from the unit as the API shows it."""
    fields = ["S" + row["serial"], "P" + row["item"]]
    if row["lot"]:
        fields.append("1T" + row["lot"])
    if row["filled"]:
        fields.append("16D" + row["filled"].replace("-", ""))
    if row["expires"]:
        fields.append("14D" + row["expires"].replace("-", ""))
    if row["kind"] != "vat" and row["amount_ml"]:
        fields.append(f"7Q{int(row['amount_ml'])}ML")
    return envelope(*fields)


def supplier(text):
    """A supplier's GS1 code from its bracketed writing: identifier ]d2, FNC1 as GS after what has no fixed length
    (GS1 General Specifications, element strings; ISO/IEC 15424)."""
    fixed = {"00", "01", "02", "03", "04", "11", "12", "13", "14", "15", "16", "17", "18", "19", "20"}
    parts = re.findall(r"\((\d{2,4})\)([^(]+)", text)
    code = b"]d2"
    for i, (identifier, value) in enumerate(parts):
        code += (identifier + value).encode()
        if identifier[:2] not in fixed and i + 1 < len(parts):
            code += GS
    return code


def pwg_page(path):
    """The first page of a PWG raster file (PWG 5102.4): width, height, rows of grey bytes (0 black, 255 white)."""
    data = path.read_bytes()
    if data[:4] != b"RaS2":
        raise AssertionError(f"{path} is no PWG raster")
    header = data[4:4 + 1796]

    def word(offset):
        return struct.unpack_from(">I", header, offset)[0]
    width, height, bits, stride = word(372), word(376), word(388), word(392)
    if bits != 1 or header[:9] != b"PwgRaster":
        raise AssertionError(f"{path}: {bits} bits a pixel, class {header[:9]}")
    rows, at = [], 4 + 1796
    while len(rows) < height:
        repeat, at = data[at] + 1, at + 1
        line = bytearray()
        while len(line) < stride:
            count, at = data[at], at + 1
            if count < 128:  # one unit, count + 1 times
                line += data[at:at + 1] * (count + 1)
                at += 1
            else:  # 257 - count units as they are
                line += data[at:at + 257 - count]
                at += 257 - count
        grey = bytes(0 if line[x >> 3] >> (7 - (x & 7)) & 1 else 255 for x in range(width))
        rows += [grey] * repeat
    if at != len(data):
        raise AssertionError(f"{path}: {len(data) - at} bytes behind the page")
    return width, height, rows, word(276)


def pgm(page, path):
    width, height, rows, _ = page
    path.write_bytes(f"P5 {width} {height} 255\n".encode() + b"".join(rows))
    return path


def picture(source, to, turn=0, blur=0, scale=100, border=20):
    """As somebody would photograph it: enlarged, on a light ground, turned, out of focus."""
    arguments = ["convert", source, "-bordercolor", "white", "-border", border, "-filter", "box", "-resize", f"{scale}%"]
    if turn:
        arguments += ["-background", "white", "-rotate", turn]
    if blur:
        arguments += ["-blur", f"0x{blur}"]
    done = processes.run(arguments + [to])
    if done.returncode != 0:
        raise AssertionError(f"convert: {done.stderr.decode()}")
    return to


def ambershelf_read(*paths):
    """`ambershelf read --json` over the pictures: for each the list of (bytes, symbol)."""
    done = processes.run([settings.PROGRAM, "read", "--json", *paths], settings.SANITIZERS)
    if done.returncode != 0:
        raise AssertionError(f"ambershelf read: {done.stderr.decode()}")
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    if [line["file"] for line in lines] != [str(path) for path in paths]:
        raise AssertionError("ambershelf read does not answer for each picture in order")
    return [[(bytes.fromhex(symbol["hex"]), symbol) for symbol in line["symbols"]] for line in lines]


def zxing_read(path):
    return processes.run(["ZXingReader", "-format", "DataMatrix", "-bytes", path]).stdout


def dmtx_read(path):
    return processes.run(["dmtxread", "-N1", "-m5000", path]).stdout


OUTSIDE_READERS = {"ZXingReader": zxing_read, "dmtxread": dmtx_read}
