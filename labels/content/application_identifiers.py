#!/usr/bin/env python3
"""application_identifiers.py           makes application_identifier_table.c of application_identifiers.txt beside it
application_identifiers.py --check   compares instead of writing; exit 1 when they differ

The text says what its columns mean. What is wrong in it is named with its line, and nothing is written."""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
SOURCE = HERE / "application_identifiers.txt"
TABLE = HERE / "application_identifier_table.c"
CHECKS = {  # word of the text: ai_check of application_identifier.h
    "": "NONE", "mod10": "MOD10", "company": "KEY", "pair": "PAIR", "date": "DATE", "date-00": "DATE_00",
    "date-long": "DATE_LONG", "hour": "HOUR", "sixty": "SIXTY", "time": "TIME", "time-any": "TIME_ANY", "zero": "ZERO",
    "not-zero": "NOT_ZERO", "no-zero-first": "NO_ZERO_FIRST", "minus": "MINUS", "yes-no": "YES_NO",
    "of-total": "OF_TOTAL", "of-sequence": "OF_SEQUENCE",
}
PART = re.compile(r"(\[?)([NXYZ])(\d+)(?:-(\d+))?(?::([a-z0-9-]+))?(\]?)")
PATTERN = r"\d[\dn]{1,3}"
NEEDS = re.compile(rf"-|{PATTERN}([+,]{PATTERN})*")
EXCLUDES = re.compile(rf"-|{PATTERN}(,{PATTERN})*")
LINK = re.compile(r"-|key|\d{2,4}([,|]\d{2,4})*")
MOST_PARTS = 5
WIDTH = 120
HEAD = """/* Made by application_identifiers.py of application_identifiers.txt: change that text, which names its source. */
#include "labels/content/application_identifier_table.h"

/* clang-format off */
const struct application_identifier application_identifier_table[] = {
"""
TAIL = """};
/* clang-format on */

const size_t application_identifier_rows = sizeof application_identifier_table / sizeof *application_identifier_table;
"""


class Wrong(Exception):
    pass


def c_part(text):
    match = PART.fullmatch(text)
    if not match or bool(match[1]) != bool(match[6]):
        raise Wrong(f"'{text}' is no part of a value, such as N6:date or [X1-17]")
    least, most, check = int(match[3]), int(match[4] or match[3]), match[5] or ""
    if not 1 <= least <= most <= 255:
        raise Wrong(f"'{text}' has a length that is not 1 to 255")
    if check not in CHECKS:
        raise Wrong(f"'{text}' names a check that is not known")
    return f"{{'{match[2]}', {least}, {most}, AI_CHECK_{CHECKS[check]}, {'true' if match[1] else 'false'}}}"


def c_text(column, form, name):
    if not form.fullmatch(column):
        raise Wrong(f"'{column}' is no list for the column '{name}'")
    return '""' if column == "-" else f'"{column}"'


def c_row(line, last_before):
    columns = line.split(None, 6)
    if len(columns) != 7:
        raise Wrong("a row has seven columns")
    identifiers, ends, value, needs, excludes, link, title = columns
    first, _, last = identifiers.partition("-")
    last = last or first
    if not re.fullmatch(r"\d{2,4}", first) or not re.fullmatch(r"\d{2,4}", last) or len(first) != len(last) or first > last:
        raise Wrong(f"'{identifiers}' is neither an identifier nor a range of one length")
    if first <= last_before or first.startswith(last_before):
        raise Wrong(f"'{first}' does not come after '{last_before}', or begins with it")
    if ends not in ("length", "GS"):
        raise Wrong(f"'{ends}' is neither 'length' nor 'GS'")
    parts = [c_part(part) for part in value.split("+")]
    if len(parts) > MOST_PARTS:
        raise Wrong(f"a value has at most {MOST_PARTS} parts")
    if '"' in title or "\\" in title or not title.isascii():
        raise Wrong(f"title '{title}' is not plain ASCII")
    if not LINK.fullmatch(link):
        raise Wrong(f"'{link}' is no list for the column 'link'")
    c_link = {"-": "NULL", "key": '""'}.get(link, f'"{link}"')
    words = [f'"{first}",', f'"{last}",', f"{'true' if ends == 'length' else 'false'},",
             *[f"{'{' if i == 0 else ''}{part}{'},' if i + 1 == len(parts) else ','}" for i, part in enumerate(parts)],
             f"{c_text(needs, NEEDS, 'needs')},", f"{c_text(excludes, EXCLUDES, 'excludes')},", f"{c_link},",
             f'"{title}"']
    return last, words


def c_lines(words):
    """A row, broken between its fields where it gets too long."""
    line = "    {" + words[0]
    for word in words[1:]:
        if len(line) + 1 + len(word) > WIDTH - 2:
            yield line
            line = "     " + word
        else:
            line += " " + word
    yield line + "},"


def make(text):
    last, made = "", []
    for number, line in enumerate(text.split("\n"), 1):
        if not line or line.startswith("#"):
            continue
        try:
            last, words = c_row(line, last or "!")
        except Wrong as wrong:
            sys.exit(f"{SOURCE.name}:{number}: {wrong}")
        made += c_lines(words)
    return HEAD + "\n".join(made) + "\n" + TAIL


def main():
    made = make(SOURCE.read_text(encoding="ascii"))
    if sys.argv[1:] == ["--check"]:
        if TABLE.read_text(encoding="ascii") != made:
            sys.exit(f"{TABLE.name} is not what {SOURCE.name} gives: run {pathlib.Path(__file__).name}")
        print("1 passed, 0 failed")
    elif sys.argv[1:]:
        sys.exit(__doc__)
    else:
        TABLE.write_text(made, encoding="ascii")


main()
