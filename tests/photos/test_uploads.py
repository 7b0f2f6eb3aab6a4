"""The one door for uploads: what comes in, what is refused, and what is left behind."""

import hashlib
import io
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from parts.photos.actions import photos
from parts.photos.actions.uploads import check_paper, check_picture
from parts.photos.models import Photo
from parts.record.actions.saving import Refused
from parts.record.models import Change
from tests import make

TAKEN = "2026:03:14 10:20:30"


def upload(content: bytes, name: str = "picture.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def picture(kind: str = "JPEG", size=(400, 300), mode="RGB", **more) -> bytes:
    image = Image.effect_noise(size, 60).convert(mode)
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def turned_with_place() -> bytes:
    """A JPEG that a phone would take on its side, with its place in the metadata."""
    image = Image.new("RGB", (400, 300), "white")
    image.paste("black", (0, 0, 200, 300))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = TAKEN
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (53.0, 30.0, 12.5)
    gps[3], gps[4] = "W", (2.0, 12.0, 7.5)
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, comment=b"Harrow Gap, behind the mill")
    return out.getvalue()


class TestWhatComesIn:
    @pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
    def test_it_is_told_by_its_content_whatever_its_name(self, kind):
        checked = check_picture(upload(picture(kind), "report.txt"))
        assert checked.format == kind
        assert (checked.width, checked.height) == (400, 300)
        assert set(checked.shown) == {1600, 900, 320}
        assert all(shown[:3] == b"\xff\xd8\xff" for shown in checked.shown.values())

    def test_the_original_is_untouched_and_its_checksum_known(self):
        content = turned_with_place()
        checked = check_picture(upload(content))
        assert checked.content == content
        assert checked.sha256 == hashlib.sha256(content).hexdigest()

    def test_what_is_shown_is_upright_and_tells_no_place(self):
        checked = check_picture(upload(turned_with_place()))
        assert (checked.width, checked.height) == (300, 400)
        for content in checked.shown.values():
            shown = Image.open(io.BytesIO(content))
            assert shown.height > shown.width
            assert not shown.getexif()
            assert b"Exif" not in content
            assert b"behind the mill" not in content
            # Turned a quarter to the right, the black left half comes to the top.
            assert shown.convert("L").getpixel((150 * shown.width // 300, 5)) < 40

    def test_the_day_is_read_from_the_picture(self):
        assert str(check_picture(upload(turned_with_place())).taken_on) == "2026-03-14"

    def test_transparent_ground_becomes_white(self):
        image = Image.new("RGBA", (64, 64), (0, 0, 0, 0))
        out = io.BytesIO()
        image.save(out, "PNG")
        shown = check_picture(upload(out.getvalue())).shown[320]
        assert Image.open(io.BytesIO(shown)).getpixel((9, 9)) == (255, 255, 255)

    def test_a_pdf_is_a_paper_and_no_picture(self):
        pdf = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"
        assert check_paper(upload(pdf)).format == "PDF"
        with pytest.raises(Refused, match="not a picture"):
            check_picture(upload(pdf))


class TestWhatIsRefused:
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "empty"),
            (b"MZ\x90\x00 a program", "not a picture"),
            (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a picture"),
            (b"%!PS-Adobe-3.0 EPSF-3.0", "not a picture"),
            (picture("GIF", mode="P"), "not a picture"),
            (picture("TIFF"), "not a picture"),
            (picture("JPEG")[:4000], "cut short or damaged"),
            (picture("PNG")[:4000], "cut short or damaged"),
            (picture("WEBP")[:2000], "cut short or damaged|not a picture"),
            (picture("HEIF")[:2000], "cut short or damaged|not a picture"),
        ],
        ids=[
            "empty",
            "program",
            "svg",
            "eps",
            "gif",
            "tiff",
            "cut-jpeg",
            "cut-png",
            "cut-webp",
            "cut-heic",
        ],
    )
    def test_a_sentence_says_what_is_wrong(self, content, says):
        with pytest.raises(Refused, match=says):
            check_picture(upload(content, "fine.jpg"))

    def test_a_cut_picture_is_refused_after_a_pdf_was_made(self):
        """The PDF library makes the picture library lenient for the whole process."""
        import weasyprint.images  # noqa: F401

        with pytest.raises(Refused, match="cut short or damaged"):
            check_picture(upload(picture("JPEG")[:4000]))

    def test_too_many_pixels(self, settings):
        settings.UPLOAD_LIMIT_PIXELS = 1_000_000
        with pytest.raises(Refused, match=r"1200 × 1000 pixels; 1 million is the most"):
            check_picture(upload(picture("PNG", (1200, 1000), "L")))

    def test_too_large_a_file(self, settings):
        settings.UPLOAD_LIMIT_BYTES = 2 * 1024 * 1024  # what a setting of 2 MB comes to
        with pytest.raises(Refused, match=r"This file is 3.0 MB; 2 MB is the most"):
            check_picture(upload(b"x" * 3 * 1024 * 1024))

    def test_a_cut_off_pdf(self):
        with pytest.raises(Refused, match="cut short"):
            check_paper(upload(b"%PDF-1.7\n" + b"x" * 5000))


@pytest.mark.django_db
class TestKeeping:
    def files(self) -> set[str]:
        root = Path(default_storage.location)
        return {str(p) for p in root.rglob("*") if p.is_file()}

    def test_it_is_kept_with_its_history(self):
        engine = make.engine()
        lead = make.member(engine, "lead")
        photo = photos.take_in(engine, upload(turned_with_place()), by=lead, caption="The bed")
        assert str(photo.day) == "2026-03-14"
        assert photo.credit == lead.get_full_name()
        assert default_storage.exists(photo.shown_path(320))
        assert photo.original.read() == turned_with_place()
        assert Change.objects.get(kind="photo", row=photo.pk).verb == "added"

    def test_what_is_refused_leaves_nothing_behind(self):
        engine = make.engine()
        before = self.files()
        with pytest.raises(Refused):
            photos.take_in(engine, upload(picture()[:4000]), by=None)
        assert self.files() == before
        assert not Photo.everything.filter(engine=engine).exists()

    def test_a_picture_of_another_engine_leaves_nothing_behind(self):
        engine, part = make.engine(), make.part(make.engine())
        before = self.files()
        with pytest.raises(Refused, match="another engine"):
            photos.take_in(engine, upload(picture()), by=None, part=part)
        assert self.files() == before

    def test_sent_twice_it_is_kept_once(self):
        engine, uid = make.engine(), "6f1f0c52-3f7a-4f6e-9a54-0d6d3f8f1a11"
        content = picture()
        first = photos.take_in(engine, upload(content), by=None, uid=uid)
        again = photos.take_in(engine, upload(content), by=None, uid=uid)
        assert first.pk == again.pk

    def test_shown_pictures_that_went_missing_are_made_again(self):
        photo = photos.take_in(make.engine(), upload(picture()), by=None)
        default_storage.delete(photo.shown_path(900))
        photos.rebuild(photo)
        assert default_storage.exists(photo.shown_path(900))


class TestRealFiles:
    """Files from cameras, as the image libraries ship them with their own tests."""

    FOLDER = Path(__file__).parent.parent / "pictures"

    def check(self, name: str):
        return check_picture(upload((self.FOLDER / name).read_bytes(), name))

    @pytest.mark.parametrize(
        ("name", "kind"),
        [
            ("exif_gps_typeerror.jpg", "JPEG"),
            ("frozenpond.mpo", "JPEG"),
            ("hopper_orientation_6.jpg", "JPEG"),
            ("hopper_orientation_8.webp", "WEBP"),
            ("zPug_3.heic", "HEIF"),
        ],
    )
    def test_they_come_in_and_what_is_shown_tells_nothing(self, name, kind):
        checked = self.check(name)
        assert checked.format == kind
        for content in checked.shown.values():
            assert not Image.open(io.BytesIO(content)).getexif()
            assert b"Exif" not in content
            assert b"GPS" not in content

    def test_the_day_of_a_real_camera_is_read(self):
        assert str(self.check("frozenpond.mpo").taken_on) == "2014-03-02"

    def test_turned_pictures_come_out_the_same_way_up(self):
        """The two show one portrait, turned by different amounts."""
        sizes = (64, 64)
        one, other = (
            Image.open(io.BytesIO(self.check(name).shown[320])).convert("L").resize(sizes)
            for name in ("hopper_orientation_6.jpg", "hopper_orientation_8.webp")
        )
        apart = [abs(a - b) for a, b in zip(one.tobytes(), other.tobytes(), strict=True)]
        assert sum(apart) / len(apart) < 12
