#!/usr/bin/env python3
"""Makes data_identifier_table.c of data_identifiers.txt. With --check it writes nothing and says whether the committed
table is what the list makes. A line that is not of the list's format is named with its number; exit 1."""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
LIST, TABLE = HERE / "data_identifiers.txt", HERE / "data_identifier_table.c"
FORMS = {
    "text": "DATA_TEXT", "quantity": "DATA_QUANTITY", "measure": "DATA_MEASURE",
    "YYMMDD": "DATA_YYMMDD", "DDMMYY": "DATA_DDMMYY", "MMDDYY": "DATA_MMDDYY",
    "YDDD": "DATA_YDDD", "YYDDD": "DATA_YYDDD",
    "YYMMDD+code": "DATA_YYMMDD_CODE", "YYYYMMDD+code": "DATA_YYYYMMDD_CODE",
    "YYWW": "DATA_YYWW", "YYYYWW": "DATA_YYYYWW",
    "YYYYMMDD": "DATA_YYYYMMDD", "DDMMYYYY": "DATA_DDMMYYYY", "YYYYMMDDHHMM": "DATA_YYYYMMDDHHMM",
}
LINE = re.compile(r"([0-9]{0,3}[A-Z]) +(\S+) +([A-Za-z0-9 ,'-]+)")


def rows(text):
    seen = set()
    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip() or line.startswith("#"):
            continue
        match = LINE.fullmatch(line)
        if not match or match[2] not in FORMS:
            sys.exit(f"{LIST.name}:{number}: not 'IDENTIFIER FORM TITLE' with a form of the list: {line}")
        if match[1] in seen:
            sys.exit(f"{LIST.name}:{number}: {match[1]} stands there twice")
        seen.add(match[1])
        yield f'    {{"{match[1]}", {FORMS[match[2]]}, "{match[3]}"}},\n'


def table(text):
    lines = list(rows(text))
    return ("/* Made by data_identifiers.py of data_identifiers.txt, where the source stands: change the list, not this. */\n"
            '#include "labels/content/data_identifier_table.h"\n\n'
            "const struct data_identifier data_identifier_table[] = {\n" + "".join(lines) + "};\n\n"
            "const size_t data_identifier_table_size = sizeof data_identifier_table / sizeof *data_identifier_table;\n")


made = table(LIST.read_text(encoding="ascii"))
if sys.argv[1:] == ["--check"]:
    if TABLE.read_text(encoding="ascii") != made:
        sys.exit(f"{TABLE.name} is not what {LIST.name} makes: run {pathlib.Path(__file__).name}")
    print("1 passed, 0 failed")
elif sys.argv[1:]:
    sys.exit(f"usage: {pathlib.Path(__file__).name} [--check]")
else:
    TABLE.write_text(made, encoding="ascii")
