"""Quotes and receipts of the invented firms, as one-page PDFs that any reader opens."""

from datetime import date


def _text(x: int, y: int, size: int, words: str) -> bytes:
    shown = words.encode("cp1252", "replace")
    for sign in (b"\\", b"(", b")"):
        shown = shown.replace(sign, b"\\" + sign)
    return b"BT /F1 %d Tf %d %d Td (%s) Tj ET\n" % (size, x, y, shown)


def paper(kind: str, supplier: str, what: str, amount: str, currency: str, day: date) -> bytes:
    """Return a PDF that says who asks how much for what."""
    lines = [
        (72, 720, 20, supplier or "Receipt book"),
        (72, 690, 11, f"{kind.capitalize()}, {day:%-d %B %Y}"),
        (72, 640, 12, what),
        (72, 610, 14, f"{amount} {currency}"),
        (72, 560, 9, "Invented for the demonstration. No such firm, no such sale."),
    ]
    page = b"".join(_text(*line) for line in lines)
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R"
        b" /Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%sendstream" % (len(page), page),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    out, places = b"%PDF-1.4\n", []
    for number, content in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, content)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    return out + (
        b"xref\n0 %d\n0000000000 65535 f \n%strailer\n<< /Size %d /Root 1 0 R >>\n"
        b"startxref\n%d\n%%%%EOF\n" % (size, table, size, len(out))
    )
