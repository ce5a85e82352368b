"""Looks at a printed sheet with poppler's tools: sheet_agrees.py SHEET.pdf [TUNE]

Every font must be embedded and cut to what is used, every page must be drawn with something on it, its text must be
text; with a tune, its title, the sections of its form and the notes of its rows must be found in it.
"""

import pathlib
import re
import subprocess
import sys


def tool(*arguments):
    return subprocess.run(arguments, check=True, capture_output=True).stdout


def must(holds, what):
    if not holds:
        sys.exit(f"{sys.argv[1]}: {what}")


pdf = sys.argv[1]
fonts = tool("pdffonts", pdf).decode().splitlines()[2:]
must(fonts, "no fonts")
for line in fonts:
    embedded, subset, unicode = line.split()[-5:-2]
    must((embedded, subset, unicode) == ("yes", "yes", "yes"), f"font not embedded, cut and readable: {line}")

pages = int(re.search(r"^Pages:\s+(\d+)", tool("pdfinfo", pdf).decode(), re.M)[1])
for page in range(1, pages + 1):
    grey = tool("pdftoppm", "-r", "30", "-gray", "-f", str(page), "-l", str(page), pdf)
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", grey)
    must(header, "pdftoppm draws no picture")
    dark = sum(value < 128 for value in grey[header.end():])
    must(dark > 50, f"page {page} is empty ({dark} dark dots)")

text = tool("pdftotext", "-layout", pdf, "-").decode()
must("\ufffd" not in text, "letters without a character")
must(text.count("page 1 of ") >= 1, "no page numbers")
if len(sys.argv) > 2:
    tune = pathlib.Path(sys.argv[2]).read_text()
    title = re.search(r"^title\s+(.*?)\s*$", tune, re.M)[1]
    must(title in text, f"the title {title} is missing")
    form = " ".join(re.findall(r"^form\s+(.*)$", tune, re.M)).split()
    for section in re.findall(r"^section\s+([\w-]+)", tune, re.M):
        must(section in text or section not in form, f"the section {section} is missing")
    for name in re.findall(r"^part\s+([\w-]+)", tune, re.M):
        must(re.search(rf"^\s*{name}(?: on |\s*$)", text, re.M), f"the part {name} is missing")
    lead = " ".join(re.findall(r"^\s+lead\s+\|(.*)$", tune, re.M))
    for note in set(re.findall(r"\b[A-G]\d\b", lead)):
        must(note in text, f"the note {note} is missing")
print(f"{pdf}: {pages} pages, {len(fonts)} fonts embedded, text found")
