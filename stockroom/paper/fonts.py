"""The letters that sheets are printed with.

FiraGO (SIL Open Font License 1.1) is embedded: Latin, Greek, Cyrillic, Arabic, Hebrew, Georgian, Thai,
Devanagari and the signs of chemistry. Chinese, Japanese and Korean use the fonts that PDF readers carry
themselves (ISO 32000, "predefined CMaps"). A character that neither has is printed as its code, so
that nothing disappears silently. The arrows of a reaction that goes both ways are a drawing of our own
(harpoons.ttf, two polygons, made with fontTools), since FiraGO lacks them. Hebrew and Arabic words are laid
out from right to left; Arabic letters are not joined.
"""

import io
import re
import unicodedata
from functools import cache
from itertools import groupby
from pathlib import Path

import pymupdf_fonts
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont

FAMILY = "FiraGO"
REGULAR, BOLD, ITALIC, BOLD_ITALIC = FAMILY, "FiraGO-Bold", "FiraGO-Italic", "FiraGO-BoldItalic"
HARPOONS, BOTH_WAYS = "Harpoons", "⇌⇄"
CHINESE, JAPANESE, KOREAN = "STSong-Light", "HeiseiKakuGo-W5", "HYGothic-Medium"

# Signs FiraGO has no drawing for, written the way people type them.
SPELLED = {"℃": "°C", "☐": "[ ]", "☑": "[x]", "✓": "yes", "\t": "    "}

_RTL = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefe"
RIGHT_TO_LEFT = re.compile(f"[{_RTL}]+(?:[ .'’-]+[{_RTL}]+)*")


@cache
def register() -> frozenset[int]:
    """Make the fonts known to reportlab, once a process; the code points that FiraGO draws."""
    faces = {REGULAR: "figo", BOLD: "figbo", ITALIC: "figit", BOLD_ITALIC: "figbi"}
    drawn: list[frozenset[int]] = []
    for name, code in faces.items():
        font = TTFont(name, io.BytesIO(pymupdf_fonts.myfont(code)))
        pdfmetrics.registerFont(font)
        drawn.append(frozenset(font.face.charToGlyph))
    pdfmetrics.registerFontFamily(FAMILY, REGULAR, BOLD, ITALIC, BOLD_ITALIC)
    pdfmetrics.registerFont(TTFont(HARPOONS, Path(__file__).parent / "harpoons.ttf"))
    pdfmetrics.registerFontFamily(HARPOONS, HARPOONS, HARPOONS, HARPOONS, HARPOONS)
    for name in (CHINESE, JAPANESE, KOREAN):
        pdfmetrics.registerFont(UnicodeCIDFont(name))
        pdfmetrics.registerFontFamily(name, name, name, name, name)
    return frozenset.intersection(*drawn)


def runs(text: str) -> list[tuple[str, str]]:
    """Cut `text` into `(font family, piece)`, every piece printable in that family.

    Line ends stay as `\\n`; other control characters become spaces. Raises nothing.
    """
    known = register()
    for sign, spelled in SPELLED.items():
        text = text.replace(sign, spelled)
    text = RIGHT_TO_LEFT.sub(lambda words: words[0][::-1], text)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    east_asian = JAPANESE if any("\u3040" <= c <= "\u30ff" for c in text) else CHINESE
    pieces = [_printable(char, known, east_asian) for char in text]
    return [
        (family, "".join(piece for _, piece in group))
        for family, group in groupby(pieces, lambda pair: pair[0])
    ]


def _printable(char: str, known: frozenset[int], east_asian: str) -> tuple[str, str]:
    code = ord(char)
    if char == "\n" or (code in known and unicodedata.category(char) not in ("Cc", "Cf", "Cs")):
        return FAMILY, char
    if char in BOTH_WAYS:
        return HARPOONS, char
    category = unicodedata.category(char)
    if category in ("Cc", "Zl", "Zp", "Zs"):
        return FAMILY, " "
    if category == "Cf":  # joiners, direction marks, soft hyphens: nothing to draw
        return FAMILY, ""
    if "\uac00" <= char <= "\ud7a3" or "\u3130" <= char <= "\u318f":
        return KOREAN, char
    if "\u2e80" <= char <= "\u9fff" or "\uff00" <= char <= "\uffef":
        return east_asian, char
    return FAMILY, f"[U+{code:04X}]"
