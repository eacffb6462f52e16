"""A small reader of PDF files as Qt writes them: size, texts with place and size, lines, images.

Written from ISO 32000-1, 7.3-7.5 (objects), 8.3 (matrices), 8.5 (paths), 9.4 (text), and from the
glyf table of OpenType for the height of a letter. From memory.
"""

import re
import struct
import zlib
from dataclasses import dataclass, field

import numpy as np

POINT = 25.4 / 72
_OBJECT = re.compile(rb"(\d+) 0 obj(.*?)endobj", re.DOTALL)
_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_TOKEN = re.compile(rb"<[0-9A-Fa-f]*>|\[[^\]]*\]|\([^)]*\)|/?[^\s<>\[\]()]+")


@dataclass
class Letter:
    """A letter: place of its origin and size of the type [mm from the upper left corner]."""

    x: float
    y: float
    em: float
    text: str
    font: str


@dataclass
class Page:
    """A page [mm]."""

    width: float
    height: float
    letters: list = field(default_factory=list)
    points: list = field(default_factory=list)
    segments: list = field(default_factory=list)
    images: int = 0

    @property
    def text(self):
        """All letters, a new line wherever the baseline changes."""
        found, before = "", None
        for one in self.letters:
            if before is not None and abs(one.y - before) > 0.01:
                found += "\n"
            found += one.text
            before = one.y
        return found


class Pdf:
    """A file."""

    def __init__(self, content):
        assert content.startswith(b"%PDF-")
        assert content.rstrip().endswith(b"%%EOF")
        self.objects = {int(m[1]): m[2] for m in _OBJECT.finditer(content)}
        self.fonts = {
            number: self._font(body)
            for number, body in self.objects.items()
            if b"/Subtype /Type0" in body
        }
        kids = next(body for body in self.objects.values() if b"/Type /Pages" in body)
        order = [int(n) for n in re.findall(rb"(\d+) 0 R", kids.split(b"/Kids")[1].split(b"]")[0])]
        self.pages = [self._page(self.objects[number]) for number in order]

    def stream(self, number):
        """Return what a stream holds."""
        body = self.objects[number]
        data = _STREAM.search(body)[1]
        return zlib.decompress(data) if b"/FlateDecode" in body else data

    def _font(self, body):
        def at(key, where):
            return int(re.search(key + rb" \[?(\d+) 0 R", where)[1])

        below = self.objects[at(rb"/DescendantFonts", body)]
        descriptor = self.objects[at(rb"/FontDescriptor", below)]
        assert b"/FontFile2" in descriptor, "the type is not in the file"
        letters = {}
        table = self.stream(at(rb"/ToUnicode", body))
        for block in re.findall(rb"beginbfrange(.*?)endbfrange", table, re.DOTALL):
            for first, last, texts in re.findall(rb"<(\w+)>\s*<(\w+)>\s*(<\w+>|\[[^\]]*\])", block):
                shown = re.findall(rb"<(\w+)>", texts)
                for step, code in enumerate(range(int(first, 16), int(last, 16) + 1)):
                    one = bytes.fromhex(shown[min(step, len(shown) - 1)].decode())
                    letters[code] = one.decode("utf-16-be")
        for block in re.findall(rb"beginbfchar(.*?)endbfchar", table, re.DOTALL):
            for code, text in re.findall(rb"<(\w+)>\s*<(\w+)>", block):
                letters[int(code, 16)] = bytes.fromhex(text.decode()).decode("utf-16-be")
        name = re.search(rb"/BaseFont /(\S+)", body)[1].decode()
        return name, letters, self.stream(at(rb"/FontFile2", descriptor))

    def height(self, letter, bold=False):
        """Return the height of a letter over the size of its type, by the outlines in the file."""
        for name, letters, data in self.fonts.values():
            code = next((c for c, one in letters.items() if one == letter), None)
            if name.endswith("Bold") == bold and code is not None:
                return _glyph_height(data, code)
        raise AssertionError(f"{letter} is not in the file")

    def _page(self, body):
        box = [float(one) for one in re.search(rb"/MediaBox \[([^\]]*)\]", body)[1].split()]
        page = Page((box[2] - box[0]) * POINT, (box[3] - box[1]) * POINT)
        content = int(re.search(rb"/Contents (\d+) 0 R", body)[1])
        resources = self.objects[int(re.search(rb"/Resources (\d+) 0 R", body)[1])]
        named = re.findall(rb"/(F\d+) (\d+) 0 R", resources)
        fonts = {name.decode(): self.fonts[int(number)] for name, number in named}
        page.images = len(re.findall(rb"/Im\d+", resources))
        _read(page, self.stream(content), fonts, box[3])
        return page


def _read(page, content, fonts, top):
    matrix, kept = np.eye(3), []
    stack, font, text = [], None, None
    start = None

    def place(x, y, by):
        point = np.array([x, y, 1.0]) @ by
        return point[0] * POINT, (top - point[1]) * POINT

    for token in _TOKEN.findall(content):
        word = token.decode("latin-1")
        if re.fullmatch(r"[-+.\d]+", word) or word[:1] in "</[(":
            stack.append(word)
            continue
        numbers = [float(one) for one in stack if re.fullmatch(r"[-+.\d]+", one)]
        if word == "q":
            kept.append(matrix)
        elif word == "Q":
            matrix = kept.pop()
        elif word == "cm":
            matrix = _matrix(numbers) @ matrix
        elif word == "BT":
            text = np.eye(3)
        elif word == "Tf":
            font = fonts[stack[0][1:]], numbers[0]
        elif word == "Tm":
            text = _matrix(numbers)
        elif word == "Td":
            text = _matrix([1, 0, 0, 1, *numbers]) @ text
        elif word == "Tj":
            (name, letters, _), size = font
            x, y = place(0, 0, text @ matrix)
            em = size * abs(np.linalg.det((text @ matrix)[:2, :2])) ** 0.5 * POINT
            code = int(stack[0].strip("<>"), 16)
            # The type draws space and tab alike, and the file may call them either.
            page.letters.append(Letter(x, y, em, letters[code].replace("\t", " "), name))
        elif word in ("m", "l"):
            here = place(*numbers, matrix)
            if word == "l":
                page.segments.append((start, here))
            start = here
            page.points.append(here)
        elif word == "re":
            x, y, w, h = numbers
            page.points += [place(x, y, matrix), place(x + w, y + h, matrix)]
        stack = []


def _matrix(numbers):
    a, b, c, d, e, f = numbers
    return np.array([[a, b, 0], [c, d, 0], [e, f, 1]])


def _glyph_height(data, glyph):
    tables = {}
    for number in range(struct.unpack(">H", data[4:6])[0]):
        name, _, offset, _ = struct.unpack(">4sIII", data[12 + 16 * number : 28 + 16 * number])
        tables[name] = offset
    head = tables[b"head"]
    units = struct.unpack(">H", data[head + 18 : head + 20])[0]
    long = struct.unpack(">h", data[head + 50 : head + 52])[0]
    at = tables[b"loca"] + (4 if long else 2) * glyph
    offset = (
        struct.unpack(">I", data[at : at + 4])[0]
        if long
        else 2 * struct.unpack(">H", data[at : at + 2])[0]
    )
    start = tables[b"glyf"] + offset
    _, _, low, _, high = struct.unpack(">hhhhh", data[start : start + 10])
    return (high - max(low, 0)) / units
