"""A scan of a job sheet on the phone: the job opens with its next stage as one button."""

from parts.record.actions import entries
from parts.workshop.jobs.queries.job import job_status
from tests import make
from tests.browser.conftest import PHONE


def test_the_next_stage_is_one_button_on_the_first_screen_of_the_phone(open_page):
    engine = make.engine()
    part = make.part(engine, 22, name="Cover stud")
    job = entries.decide(part, "machine", 22, day=make.FIRST_DAY, by=None)
    page = open_page(PHONE, make.member(engine, "helper"))
    page.goto(job.get_absolute_url())
    button = page.get_by_role("button", name="Measured today: 22 of 22")
    box = button.bounding_box()
    assert box["y"] + box["height"] < PHONE["viewport"]["height"] - 76
    assert box["height"] >= 48
    button.click()
    page.get_by_role("button", name="Drawn today: 22 of 22").wait_for()
    assert job_status(job).stages[0].reached == 22
