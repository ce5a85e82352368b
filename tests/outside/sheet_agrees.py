"""Looks at a printed sheet with poppler's tools: sheet_agrees.py SHEET.pdf [TUNE...] [--size SIZE] [--poster POINTS]

Every font must be embedded and cut to what is used, every page must be drawn with something on it, its text must be
text. With a tune, its title, the sections of its form and the notes of its rows must be found in it; with several, it
is a booklet of one player, who need not play in each.

- `--size`: hand, stand or wall. Names and octaves in the rows must be as large as that promises, and every page but the
  last of a sheet must be filled to 45 % at least. The sizes are those that poppler finds.
- `--poster`: how large the smallest name of a pan alone must be, in points.
"""

import argparse
import pathlib
import re
import subprocess
import sys

# Names and octaves in cells, in points, as the guide promises them.
SIZES = {"hand": (9.5, 8), "stand": (14, 11), "wall": (24, 20)}
FULL = 0.45
# How high poppler takes a letter of one point to be: DejaVu's ascender and descender, 1901 and 483 of 2048.
HIGH = (1901 + 483) / 2048
# The margin that sheets leave all round, in points.
MARGIN = 36


def tool(*arguments):
    return subprocess.run(arguments, check=True, capture_output=True).stdout


def must(holds, what):
    if not holds:
        sys.exit(f"{asked.pdf}: {what}")


class Word:
    def __init__(self, found):
        *self.box, self.text = [*map(float, found[:4]), found[4]]
        self.left, self.top, self.right, self.bottom = self.box
        self.size = (self.bottom - self.top) / HIGH


def pages_of(pdf):
    """The height of each page, and its words."""
    text = tool("pdftotext", "-bbox", pdf, "-").decode()
    word = r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>'
    for page in re.finditer(r'<page width="[\d.]+" height="([\d.]+)">(.*?)</page>', text, re.S):
        yield float(page[1]), [Word(found) for found in re.findall(word, page[2])]


def notes(words):
    """The names that have an octave right after them, in smaller letters."""
    octaves = {}
    for word in words:
        if re.fullmatch(r"\d'?", word.text):
            octaves.setdefault(round(word.left), []).append(word)
    for name in words:
        if not re.fullmatch(r"[A-G][#b]?", name.text):
            continue
        near = [word for at in (-1, 0, 1) for word in octaves.get(round(name.right) + at, [])]
        near = [word for word in near if abs(word.left - name.right) < 0.2 and name.top < word.top < name.bottom]
        if near:
            yield name, near[0]


def foot(words):
    """What stands in the last line of a page: the words, and the number of the page; where it begins."""
    lowest = max(word.bottom for word in words)
    last = [word for word in words if word.bottom > lowest - 4]
    text = " ".join(word.text for word in sorted(last, key=lambda word: word.left))
    number = re.search(r"page (\d+) of \d+", text)
    must(number, f"no page number in {text}")
    return text.replace(number[0], "").strip(), int(number[1]), min(word.top for word in last)


def look_at_size(size, sections):
    name_size, octave_size = SIZES[size]
    pages = list(pages_of(asked.pdf))
    feet = [foot(words) for _, words in pages]
    seen, fullest = 0, []
    for i, (height, words) in enumerate(pages):
        name, number, floor = feet[i]
        # On its first page a sheet has its pan above the first section; a page that goes on begins with a section too.
        heads = [word.top for word in words if word.text in sections and word.size > 1.2 * name_size]
        must(heads or i == 0 or feet[i - 1][0] != name or feet[i - 1][1] > number, f"page {i + 1} has no section")
        for note, octave in notes(words):
            if heads and note.top > min(heads):
                seen += 1
                must(note.size > name_size - 0.05, f"page {i + 1}: {note.text} has {note.size:.1f} points")
                must(octave.size > octave_size - 0.05, f"page {i + 1}: octave of {octave.size:.1f} points")
        # The contents of a booklet are a sheet too, but more follows them.
        goes_on = i == 0 and len(asked.tunes) > 1
        goes_on |= i + 1 < len(pages) and feet[i + 1][0] == name and feet[i + 1][1] > number
        if goes_on:
            lowest = max(word.bottom for word in words if word.bottom < floor)
            full = (lowest - MARGIN) / (floor - MARGIN)
            fullest.append(full)
            must(full >= FULL, f"page {i + 1} is {full:.0%} full")
    least = f", {min(fullest):.0%} full at least" if fullest else ""
    return f"{seen} notes in {size} size{least}"


def look_at_poster(least):
    sizes = [name.size for _, words in pages_of(asked.pdf) for name, _ in notes(words)]
    must(len(sizes) > 5, "hardly any names")
    must(min(sizes) >= least, f"a name of {min(sizes):.1f} points")
    return f"names of {min(sizes):.1f} points at least"


parser = argparse.ArgumentParser()
parser.add_argument("pdf")
parser.add_argument("tunes", nargs="*")
parser.add_argument("--size", choices=SIZES)
parser.add_argument("--poster", type=float)
asked = parser.parse_args()

fonts = tool("pdffonts", asked.pdf).decode().splitlines()[2:]
must(fonts, "no fonts")
for line in fonts:
    embedded, subset, unicode = line.split()[-5:-2]
    must((embedded, subset, unicode) == ("yes", "yes", "yes"), f"font not embedded, cut and readable: {line}")

pages = int(re.search(r"^Pages:\s+(\d+)", tool("pdfinfo", asked.pdf).decode(), re.M)[1])
# All pages at once: one after the other each begins with reading the file.
drawn = tool("pdftoppm", "-r", "30", "-gray", asked.pdf)
for page in range(1, pages + 1):
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", drawn)
    must(header, "pdftoppm draws no picture")
    end = header.end() + int(header[1]) * int(header[2])
    dark = sum(value < 128 for value in drawn[header.end():end])
    must(dark > 50, f"page {page} is empty ({dark} dark dots)")
    drawn = drawn[end:]

text = tool("pdftotext", "-layout", asked.pdf, "-").decode()
must("\ufffd" not in text, "letters without a character")
must(asked.poster or "page 1 of " in text, "no page numbers")
found, sections = [], set()
for path in asked.tunes:
    sections.update(re.findall(r"^section\s+([\w-]+)", pathlib.Path(path).read_text(), re.M))
if len(asked.tunes) == 1:
    tune = pathlib.Path(asked.tunes[0]).read_text()
    title = re.search(r"^title\s+(.*?)\s*$", tune, re.M)[1]
    must(title in text, f"the title {title} is missing")
    form = " ".join(re.findall(r"^form\s+(.*)$", tune, re.M)).split()
    for section in sections:
        must(section in text or section not in form, f"the section {section} is missing")
    for name in re.findall(r"^part\s+([\w-]+)", tune, re.M):
        must(re.search(rf"^\s*{name}(?: on |\s*$)", text, re.M), f"the part {name} is missing")
    lead = " ".join(re.findall(r"^\s+lead\s+\|(.*)$", tune, re.M))
    for note in set(re.findall(r"\b[A-G]\d\b", lead)):
        must(note in text, f"the note {note} is missing")
if asked.size:
    found.append(look_at_size(asked.size, sections))
if asked.poster:
    found.append(look_at_poster(asked.poster))
print("; ".join([f"{asked.pdf}: {pages} pages, {len(fonts)} fonts embedded, text found", *found]))
