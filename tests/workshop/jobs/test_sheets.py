"""Job sheets: who has what to make, on paper, many in one PDF."""

import io
import re

import pikepdf
import pytest
from django.utils.html import escape

from parts.care.models import Measurement
from parts.record.actions import entries, saving
from parts.workshop.jobs.queries.by_person import job_sheets, jobs_by_person
from tests import make
from tests.drafting.reading import text_of
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def reader(client, engine):
    person = make.member(engine, "reader")
    client.force_login(person)
    return person


def words(response) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def decided(engine, who="K. Dunmore", pieces=1, route="machine", part=None, **fields):
    part = part or make.part(engine, max(pieces, 1))
    return entries.decide(part, route, pieces, day=DAY, by=None, who=who, **fields)


def pages(content) -> int:
    with pikepdf.open(io.BytesIO(content)) as pdf:
        return len(pdf.pages)


def measured(part, what, written, mm, unit="in", sure="", **fields):
    row = Measurement(
        engine=part.engine, part=part, what=what, written=written, unit=unit, **fields
    )
    row.value, row.day, row.plus_or_minus = mm, fields.get("day", DAY), sure
    return saving.add(row, by=None)


def test_jobs_stand_under_the_hands_that_make_them(client, engine, reader):
    decided(engine, "Kit", part=make.part(engine, name="Cover stud"))
    decided(engine, "", part=make.part(engine, name="Oil cup"))
    done = decided(engine, "Ned", part=make.part(engine, name="Fitted pin"))
    entries.fit(done, 1, day=DAY, by=None)
    assert [(h.who, len(h.rows)) for h in jobs_by_person(engine)] == [("Kit", 1), ("", 1)]
    page = words(client.get(at("jobs_by_person", engine)))
    assert "Cover stud" in page
    assert escape("Not assigned") in page
    assert "Fitted pin" not in page


def test_a_job_sheet_says_what_how_many_which_sizes_and_which_stages(client, engine):
    client.force_login(make.member(engine, "helper"))
    part = make.part(
        engine, 22, name="Cover stud", material="steel", mass_kg=0.35, size="7/8 × 4 in"
    )
    job = decided(engine, "Kit Dunmore", 22, part=part, reason="All stretched", note="Left hand")
    entries.reach(job, "measured", 22, day=DAY, by=None)
    measured(part, "shank", "7/8 in", 22.225, sure="1/64 in", instrument="calliper", who="Joe")
    said = text_of(client.get(at("job_pdf", engine, job.pk)).content)
    for word in (
        "Job sheet",
        "Cover stud",
        "22 to make",
        "Steel",
        "Kit Dunmore",
        "shank",
        "22.2 mm",  # 7/8 in is 22.225 mm
        "calliper, Joe",
        "All stretched",
        "Left hand",
        "Measured",
        "Stock in",
        "Machined",
        "Fitted",
        "By whom",
        "Notes",
        "0.772 lb",  # 0.35 kg / 0.45359237 = 0.7716
        "entered, not weighed",
    ):
        assert word in said, word


def test_it_works_in_the_other_units_and_on_letter_paper(client, reader, engine):
    job = decided(engine, part=make.part(engine, mass_kg=10.0))
    content = client.get(at("job_pdf", engine, job.pk) + "?units=metric&paper=letter").content
    assert "10 kg" in text_of(content)
    with pikepdf.open(io.BytesIO(content)) as pdf:
        assert float(pdf.pages[0].MediaBox[3]) == pytest.approx(792, abs=0.5)


def test_a_part_with_shapes_is_drawn_on_its_sheet(client, engine, reader):
    part = make.part(engine, name="Pin", material="steel")
    make.body(part, "bar", {"diameter": 80, "length": 200})
    job = decided(engine, part=part)
    said = text_of(client.get(at("job_pdf", engine, job.pk) + "?units=metric").content)
    assert "200 mm" in said  # on the dimension of the sketch
    # pi/4 × 0.08² × 0.2 × 7850 = 7.9 kg
    assert "7.89 kg" in said or "7.892 kg" in said or "7.9 kg" in said


def test_many_jobs_come_in_one_pdf_a_page_each(client, engine, reader):
    jobs = [decided(engine, who, part=make.part(engine, name=f"Piece {who}")) for who in "ABA"]
    of_a = client.get(at("jobs_pdf", engine) + "?who=A").content
    assert pages(of_a) == 2
    assert "Piece A" in text_of(of_a)
    assert "Piece B" not in text_of(of_a)
    asked = "&".join(f"job={m.pk}" for m in jobs)
    assert pages(client.get(at("jobs_pdf", engine) + "?" + asked).content) == 3


def test_what_cannot_be_printed_is_told(client, engine, reader):
    other = decided(make.engine())
    assert client.get(at("job_pdf", engine, other.pk)).status_code == 404
    assert client.get(at("jobs_pdf", engine) + f"?job={other.pk}").status_code == 404
    for query in ("", "?who=Nobody", "?job=x"):
        page = words(client.get(at("jobs_pdf", engine) + query, follow=True))
        assert "Choose a job first" in page
    for _ in range(61):
        decided(engine, "Kit")
    page = words(client.get(at("jobs_pdf", engine) + "?who=Kit", follow=True))
    assert "61 sheets are too many for one print" in page


def test_a_long_list_is_paged_and_printed_in_parts_with_nothing_cut(client, engine, reader):
    kit = [decided(engine, "Kit").pk for _ in range(61)]
    rest = [decided(engine, who).pk for who in ["Ned"] * 20 + [""] * 30]

    def listed(query):
        page = words(client.get(at("jobs_by_person", engine) + query))
        return [int(pk) for pk in re.findall(r'name="job" value="(\d+)"', page)], page

    first, page = listed("")
    assert "61 jobs, 61 pieces" in page
    assert "Page 1 of 2, 111 rows" in page
    assert "Kit: 61" in page
    assert "Sheets 1 to 60" in page
    assert "Sheets 61 to 61" in page
    assert first + listed("?page=2")[0] == kit + rest
    assert listed("?who=Ned")[0] == rest[:20]
    assert listed("?who=")[0] == rest[20:]
    assert "No jobs are assigned here" in listed("?who=Someone")[1]
    assert pages(client.get(at("jobs_pdf", engine) + "?who=Kit&from=61").content) == 1


def test_the_newest_measure_of_each_name_stands_also_that_of_a_find(engine):
    part = make.part(engine)
    find = make.found(part)
    measured(part, "bore", "1 in", 25.4, day=DAY)
    row = Measurement(engine=engine, find=find, what="bore", written="1 1/64 in", unit="in")
    row.value, row.day = 25.797, DAY.replace(day=20)
    saving.add(row, by=None)
    job = decided(engine, part=part)
    (sheet,) = job_sheets(engine, [job.pk])
    assert [line.row.written for line in sheet.measures] == ["1 1/64 in"]


def test_the_mass_is_that_of_the_metal_it_is_made_of(engine):
    """A bar of 100 × 100 mm: 0.7854 litre; bronze over 8 kg a litre, cast iron under 7.5."""
    part = make.part(engine, material="cast_iron")
    make.body(part, "bar", {"diameter": 100, "length": 100})
    job = decided(engine, part=part, metal="bronze")
    (sheet,) = job_sheets(engine, [job.pk])
    assert 0.7854 * 8 < sheet.mass.kg < 0.7854 * 9.2


def test_sheets_take_as_many_queries_however_many(
    client, engine, reader, django_assert_num_queries
):
    def grow(n):
        made = []
        for k in range(n):
            part = make.part(engine, name=f"Part {k}")
            make.found(part)
            make.body(part, "bar", {"diameter": 50, "length": 100})
            made.append(decided(engine, part=part).pk)
        return made

    few = grow(2)
    with django_assert_num_queries(12):
        job_sheets(engine, few)
    many = few + grow(30)
    with django_assert_num_queries(12):
        assert len(job_sheets(engine, many)) == 32


def test_the_list_takes_as_many_queries_however_long(
    client, engine, reader, django_assert_max_num_queries
):
    def grow(n):
        for _ in range(n):
            decided(engine)

    grow(2)
    client.get(at("jobs_by_person", engine))
    with django_assert_max_num_queries(14) as first:
        client.get(at("jobs_by_person", engine))
    grow(30)
    with django_assert_max_num_queries(len(first)):
        client.get(at("jobs_by_person", engine))
