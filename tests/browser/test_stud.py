"""One turned stud on a screen: from the worn thread through the bar plan to the engine."""

import pytest

from parts.record.models import Job
from parts.workshop.bars.models import CutPlan
from parts.workshop.bars.queries.plan import bar_store
from parts.workshop.jobs.queries.job import job_status
from tests import make


def test_one_stud_from_the_worn_thread_to_fitted(desk, client, live_server):
    engine = make.engine(shop_rate=30)
    part = make.part(engine, 4, name="Cover stud", material="steel", fastener=True)
    client.force_login(make.member(engine, "lead"))
    kept = client.cookies["sessionid"].value
    desk.context.add_cookies([{"name": "sessionid", "value": kept, "url": live_server.url}])
    make.bar(engine, across=22.225, length=914.4, price="9")  # 7/8 in, 3 ft

    # Measured, named, and to be made.
    desk.goto(f"/engines/{engine.pk}/parts/{part.pk}/thread/edit/")
    desk.get_by_label("Stud", exact=True).check()
    desk.get_by_label("None", exact=True).check()
    for label, written in (
        ("Length", "4 1/2 in"),
        ("Over the best-kept crests", "0.87 in"),
        ("Threads per inch, or pitch", "9"),
        ("Angle of the flanks", "55"),
        ("Minutes to make one", "12"),
    ):
        desk.get_by_label(label).first.fill(written)
    desk.locator("#form button.main, form .bar button.main").first.click()
    desk.get_by_role("button", name="It is this").first.click()
    desk.get_by_role("button", name="Make them").click()
    job = Job.objects.get(part=part)

    # Its blank, the plan, the saw.
    desk.goto(f"/engines/{engine.pk}/bars/plan/")
    desk.get_by_role("link", name="Its blank").first.click()
    desk.get_by_role("button", name="Save blank").click()
    desk.goto(f"/engines/{engine.pk}/bars/plan/")
    desk.get_by_role("button", name="Make this cutting list").click()
    desk.get_by_role("link", name="It is sawn").click()
    desk.locator("form button.main, form button.danger").last.click()
    desk.wait_for_load_state()
    assert CutPlan.objects.get().cut_on is not None
    # Four of 4 5/8 in and four saw cuts out of 36 in leave more than a foot for the store.
    (offcut,) = bar_store(engine).in_store
    assert offcut.length_mm == pytest.approx(419, abs=25)

    # Turned and fitted: the saw has moved the stage, the bench does the rest.
    desk.goto(f"/engines/{engine.pk}/jobs/{job.pk}/")
    while desk.locator("form.buttons button.main").count():
        desk.locator("form.buttons button.main").click()
        desk.wait_for_load_state()
    assert job_status(job).fitted == 4
