"""Damaged and hostile files: refused in a sentence or taken whole, with nothing left behind.

The corpus is made here from a seed, which is printed where a file fails; BEDPLATE_SEED sets
another. A sample of each kind is sent in the normal run, all of it in the long one.
"""

import io
import os
import random
import resource
import struct
import zipfile
import zlib
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image

from parts.money import actions as money_actions
from parts.money.models import CostPaper
from parts.photos.actions import photos
from parts.photos.actions.uploads import BYTES_PER_PIXEL, check_paper, check_picture
from parts.photos.models import Photo
from parts.record.actions.saving import Refused
from tests import make

pytestmark = pytest.mark.django_db
SEED = int(os.environ.get("BEDPLATE_SEED", "20260310"))
REAL = Path(__file__).parent.parent / "pictures"
PNG_HEAD = b"\x89PNG\r\n\x1a\n"
PDF = b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[]/Count 0"
PDF += b">>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


def picture(kind: str, mode: str = "RGB", size=(160, 120), frames: int = 1, **more) -> bytes:
    dice = random.Random(SEED)
    grains = (dice.randbytes(size[0] * size[1] // 16) for _ in range(frames))
    noise = [
        Image.frombytes("L", (size[0] // 4, size[1] // 4), grain).resize(size).convert(mode)
        for grain in grains
    ]
    if frames > 1:
        more |= {"save_all": True, "append_images": noise[1:]}
    out = io.BytesIO()
    noise[0].save(out, kind, **more)
    return out.getvalue()


def with_exif() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "A maker"
    exif.get_ifd(0x8769)[0x9003] = "2026:03:14 10:20:30"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (53.0, 30.0, 12.5)
    return picture("JPEG", exif=exif, comment=b"a word")


def zipped(content: bytes = b"x" * 200) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("word/document.xml", content)
    return out.getvalue()


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width: int, height: int, bits=8, colour=2, rows: int | None = None, extra=b"") -> bytes:
    """A PNG of nothing but black, as small as it can be; fewer rows than told cut it short."""
    bands = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    row = bytes(1 + (width * bands * bits + 7) // 8)
    pack = zlib.compressobj(9)
    data = b"".join(pack.compress(row) for _ in range(height if rows is None else rows))
    head = struct.pack(">IIBBBBB", width, height, bits, colour, 0, 0, 0)
    body = chunk(b"IHDR", head) + extra + chunk(b"IDAT", data + pack.flush())
    return PNG_HEAD + body + chunk(b"IEND", b"")


def whole_files() -> dict[str, bytes]:
    return {
        "jpeg": with_exif(),
        "jpeg in scans": picture("JPEG", progressive=True),
        "jpeg of four inks": picture("JPEG", "CMYK"),
        "png": picture("PNG"),
        "png in a palette": picture("PNG", "P"),
        "png of 16 bits": png(160, 120, bits=16, colour=6),
        "png of 16 bits of grey": png(160, 120, bits=16, colour=0),
        "apng": picture("PNG", "RGBA", frames=3),
        "webp": picture("WEBP"),
        "webp that moves": picture("WEBP", frames=3),
        "heic": picture("HEIF"),
        "several in a jpeg": (REAL / "frozenpond.mpo").read_bytes(),
        "real heic": (REAL / "zPug_3.heic").read_bytes(),
        "pdf": PDF,
        "svg": SVG,
        "zip": zipped(),
    }


def mutated(content: bytes, dice: random.Random) -> bytes:
    """Some bytes changed, most of them near the beginning, where formats say what follows."""
    data = bytearray(content)
    for _ in range(dice.choice((1, 3, 10, 40))):
        reach = dice.choice((64, 512, len(data)))
        data[dice.randrange(min(reach, len(data)))] = dice.randrange(256)
    return _sums_put_right(bytes(data)) if content.startswith(PNG_HEAD) else bytes(data)


def _sums_put_right(content: bytes) -> bytes:
    """A PNG whose checksums are right again, so that what was changed reaches the decoder."""
    data, at = bytearray(content), len(PNG_HEAD)
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        end = at + 8 + length
        if end + 4 > len(data):
            break
        struct.pack_into(">I", data, end, zlib.crc32(data[at + 4 : end]))
        at = end + 4
    return bytes(data)


def cut_short(content: bytes, dice: random.Random) -> bytes:
    return content[: dice.randrange(1, len(content))]


def torn(content: bytes, dice: random.Random) -> bytes:
    """A block lost, doubled or emptied, as by a bad memory card."""
    at, size = dice.randrange(len(content)), dice.randrange(1, 400)
    block = content[at : at + size]
    return content[:at] + dice.choice((b"", block * 2, bytes(len(block)))) + content[at + size :]


def bombs() -> dict[str, bytes]:
    """Small files that unfold into much, or say that they do."""
    jpeg, at = bytearray(picture("JPEG")), 0
    at = bytes(jpeg).index(b"\xff\xc0") + 5
    jpeg[at : at + 4] = b"\xff\xff\xff\xff"
    webp = bytearray(picture("WEBP", frames=2))
    at = bytes(webp).index(b"VP8X") + 12
    webp[at : at + 6] = b"\xff\xff\xff\xff\xff\xff"
    heic = bytearray(picture("HEIF"))
    at = bytes(heic).index(b"ispe") + 8
    heic[at : at + 8] = b"\x00\x00\xff\xff\x00\x00\xff\xff"
    much = zlib.compress(bytes(30_000_000), 9)
    return {
        "jpeg that says 4 thousand million": bytes(jpeg),
        "webp that says 280 million million": bytes(webp),
        "heic that says 4 thousand million": bytes(heic),
        "png that says 4 thousand million": png(65535, 65535, rows=2),
        "png one pixel high": png(50_000_000, 1, colour=0),
        "png of no width": png(0, 9, rows=1),
        "png that says 160 million": png(16_000, 10_000, rows=2),
        "png with more data than rows": png(20, 20, rows=20_000),
        "png with a text of 30 MB": png(20, 20, extra=chunk(b"zTXt", b"k\0\0" + much)),
        "png with a profile of 30 MB": png(20, 20, extra=chunk(b"iCCP", b"k\0\0" + much)),
        "zip of 30 MB": zipped(bytes(30_000_000)),
        "pdf of 30 MB": PDF[:-7] + b"stream\n" + much + b"\nendstream\n%%EOF\n",
    }


def polyglots() -> dict[str, bytes]:
    """Files that are two things at once."""
    jpeg, page = picture("JPEG"), b"<html><script>alert(1)</script></html>"
    return {
        "jpeg and zip": jpeg + zipped(),
        "jpeg and page": picture("JPEG", comment=page),
        "jpeg and svg": jpeg + SVG,
        "png and program": picture("PNG") + b"MZ\x90\x00" + bytes(300),
        "pdf and zip": PDF + zipped() + b"\n%%EOF\n",
        "pdf and page": b"%PDF-1.4\n" + page + b"\n%%EOF\n",
        "page and pdf": page + PDF,
        "jpeg and pdf": jpeg + PDF,
        "zip and picture": zipped(jpeg),
        "gif and jpeg": b"GIF89a" + jpeg,
        "svg as a page": b"<!DOCTYPE html>" + SVG,
        "nothing but zeros": bytes(5000),
    }


# Mutations that made the decoders raise TypeError or struct.error: (whole file, which).
RAISED_ODDLY = (
    ("jpeg", 105),
    ("png of 16 bits", 148),
    ("png of 16 bits of grey", 222),
)
DAMAGES = {"mutated": mutated, "cut short": cut_short, "torn": torn}


def corpus(each: dict[str, int]) -> dict[str, bytes]:
    """Every whole file, damaged so many times in each way; then the bombs and the polyglots."""
    whole = whole_files()
    chosen = [(name, way, n) for name in whole for way in DAMAGES for n in range(each[way])]
    chosen += [(name, "mutated", n) for name, n in RAISED_ODDLY]
    made = {
        f"{name}, {way}, {n}": DAMAGES[way](whole[name], random.Random(f"{SEED} {name} {way} {n}"))
        for name, way, n in chosen
    }
    return made | bombs() | polyglots()


class Desk:
    """An engine to which every file is sent as a photo and as a paper."""

    def __init__(self):
        self.engine = make.engine()
        self.cost = make.cost(self.engine)

    def here(self) -> tuple:
        root = Path(default_storage.location)
        return (
            {path for path in root.rglob("*") if path.is_file()},
            Photo.everything.count(),
            CostPaper.everything.count(),
        )

    def as_photo(self, content: bytes) -> str:
        photo = photos.take_in(self.engine, ContentFile(content), by=None)
        assert photo.original.read() == content
        for side in Photo.SIZES:
            with default_storage.open(photo.shown_path(side)) as file:
                shown = Image.open(io.BytesIO(file.read()), formats=["JPEG"])
                shown.load()
            assert max(shown.size) <= side
            assert not shown.getexif()
        return f"taken as {photo.format}"

    def as_paper(self, content: bytes) -> str:
        about = {"kind": "quote", "name": "Q", "day": make.FIRST_DAY, "by": None}
        paper = money_actions.add_paper(self.cost, ContentFile(content), **about)
        assert paper.file.read() == content
        return f"taken as {paper.suffix}"


def send_all(files: dict[str, bytes]) -> dict[str, str]:
    desk, outcome = Desk(), {}
    for name, content in files.items():
        for way in (desk.as_photo, desk.as_paper):
            before = desk.here()
            key = f"{name}, {way.__name__}"
            try:
                outcome[key] = way(content)
            except Refused as refusal:
                outcome[key] = "refused"
                says = str(refusal)
                assert says[0].isupper(), key
                assert says.endswith("."), key
                assert desk.here() == before, f"{key} left something behind (seed {SEED})"
            except Exception as error:
                raise AssertionError(f"{key} (seed {SEED}) raised {error!r}") from error
    return outcome


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_a_sample_of_each_kind_is_refused_in_a_sentence_or_taken_whole():
    outcome = send_all(corpus({"mutated": 1, "cut short": 1, "torn": 0}))
    assert outcome["jpeg and zip, as_photo"] == "taken as JPEG"
    assert outcome["gif and jpeg, as_photo"] == "refused"
    assert outcome["svg as a page, as_paper"] == "refused"
    assert outcome["pdf and zip, as_photo"] == "refused"
    assert {"refused", "taken as JPEG", "taken as pdf"} <= set(outcome.values())


def test_every_whole_file_of_a_kind_that_is_taken_comes_in():
    outcome = send_all(whole_files())
    for name in whole_files():
        told = outcome[f"{name}, as_photo"]
        assert (told == "refused") == (name in ("pdf", "svg", "zip")), name


@pytest.mark.long
def test_hundreds_are_refused_in_a_sentence_or_taken_whole():
    files = corpus({"mutated": 14, "cut short": 4, "torn": 4})
    assert len(files) >= 350
    outcome = send_all(files)
    assert {"refused", "taken as JPEG", "taken as PNG", "taken as WEBP"} <= set(outcome.values())


def grown(check, content: bytes) -> tuple[str, float]:
    """Check a file in a process of its own; return what came of it and the MB that it grew."""
    read, write = os.pipe()
    child = os.fork()
    if not child:
        try:
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            try:
                check(ContentFile(content))
                told = "taken"
            except Refused:
                told = "refused"
            more = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
            os.write(write, f"{told} {more / 1024}".encode())
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        told, more = pipe.read().split()
    os.waitpid(child, 0)
    return told, float(more)


def plain(kind: str, size: tuple[int, int], mode="RGB", **more) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **more)
    return out.getvalue()


# Large pictures by kind: how one is made of a size, and whether it is taken just under the most
# pixels.
LARGE = {
    "png of 16 bits, with alpha": (lambda s: png(*s, bits=16, colour=6), "refused"),
    "webp": (lambda s: plain("WEBP", s, method=0), "refused"),
    "jpeg in scans": (
        lambda s: plain("JPEG", s, progressive=True, subsampling=0),
        "taken",
    ),
    "heic": (lambda s: plain("HEIF", s, quality=10), "taken"),
    "png": (lambda s: png(*s), "taken"),
    "png of 16 bits": (lambda s: png(*s, bits=16), "taken"),
    "png of 16 bits of grey": (lambda s: png(*s, bits=16, colour=0), "taken"),
    "png of grey with alpha": (lambda s: png(*s, colour=4), "refused"),
    "jpeg": (lambda s: plain("JPEG", s), "taken"),
    "jpeg of four inks in scans": (lambda s: plain("JPEG", s, "CMYK", progressive=True), "refused"),
}
# Beside the picture itself: its bytes, what is made of it, and what the libraries set aside once.
BESIDE_MB = 40


def hold_to_the_bound(kind: str, size: tuple[int, int], most_mp: int) -> None:
    made, expected = LARGE[kind]
    told, more = grown(check_picture, made(size))
    assert told == expected, kind
    assert more < BYTES_PER_PIXEL * most_mp + BESIDE_MB, kind


@pytest.mark.parametrize("kind", ["png of 16 bits, with alpha", "webp", "png of 16 bits", "jpeg"])
def test_memory_is_bounded_by_bytes_not_by_pixels(settings, kind):
    settings.UPLOAD_LIMIT_PIXELS = 20_000_000
    hold_to_the_bound(kind, (5_000, 3_950), 20)


@pytest.mark.long
@pytest.mark.parametrize("kind", LARGE)
def test_memory_is_bounded_at_the_most_that_is_taken_by_default(kind):
    hold_to_the_bound(kind, (8_192, 7_200), 60)


@pytest.mark.long
def test_no_bomb_takes_more_memory_than_a_picture():
    for kind, content in bombs().items():
        for check in (check_picture, check_paper):
            _, more = grown(check, content)
            assert more < BYTES_PER_PIXEL * 60 + BESIDE_MB, kind
