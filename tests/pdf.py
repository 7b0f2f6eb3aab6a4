"""Reads the words that are set on the pages of a PDF."""

import re

import pikepdf

_CHAR = re.compile(rb"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>")
_RANGE = re.compile(rb"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]+)>")


def _signs(font) -> dict[int, str]:
    if "/ToUnicode" not in font:  # one of the fonts that every reader has, one byte to a sign
        return {}
    cmap = font.ToUnicode.read_bytes()
    known = {}
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", cmap, re.S):
        for code, sign in _CHAR.findall(block):
            known[int(code, 16)] = bytes.fromhex(sign.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", cmap, re.S):
        for first, last, sign in _RANGE.findall(block):
            start = int(sign, 16)
            for n in range(int(first, 16), int(last, 16) + 1):
                known[n] = chr(start + n - int(first, 16))
    return known


def _words(content, fonts) -> str:
    out, signs = [], {}
    for operands, operator in pikepdf.parse_content_stream(content):
        name = str(operator)
        if name == "Tf":
            signs = fonts[str(operands[0])]
        elif name in ("Tj", "TJ"):
            pieces = operands[0] if name == "TJ" else operands
            for piece in pieces:
                if isinstance(piece, pikepdf.String):
                    raw = bytes(piece)
                    if not signs:
                        out.append(raw.decode("cp1252", "replace"))
                        continue
                    out += [
                        signs.get(int.from_bytes(raw[i : i + 2], "big"), "?")
                        for i in range(0, len(raw), 2)
                    ]
        elif name == "ET":
            out.append(" ")
    return "".join(out)


def _all(content, resources) -> str:
    fonts = {name: _signs(font) for name, font in resources.get("/Font", {}).items()}
    text = _words(content, fonts)
    for form in resources.get("/XObject", {}).values():
        if form.get("/Subtype") == "/Form":
            text += " " + _all(form, form.get("/Resources", {}))
    return text


def text_of(pdf: pikepdf.Pdf) -> str:
    """The words of all pages, with single spaces between them."""
    text = " ".join(_all(page, page.Resources) for page in pdf.pages)
    return re.sub(r"\s+", " ", text)
