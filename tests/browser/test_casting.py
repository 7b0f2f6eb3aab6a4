"""One casting from the decision to the engine, with its sizes and its pattern, on a screen."""

from parts.care.models import Measurement
from parts.record.models import Job, PieceEntry
from parts.workshop.jobs.queries.job import job_status
from tests import make

PRESSES = 8  # measured, drawn, pattern made, moulded, poured, fettled, machined, fitted


def test_from_the_decision_to_fitted(desk, client, live_server):
    engine = make.engine(tag_prefix="HG")
    lead = make.member(engine, "lead")
    part = make.part(engine, name="Gland", material="cast_iron")
    client.force_login(lead)
    kept = client.cookies["sessionid"].value
    desk.context.add_cookies([{"name": "sessionid", "value": kept, "url": live_server.url}])

    # Its shape and sizes, entered by hand.
    desk.goto(part.get_absolute_url())
    desk.get_by_role("link", name="Shapes, mass and wear").click()
    desk.get_by_label("Round bar", exact=True).check()
    desk.get_by_role("button", name="Add this shape").click()
    desk.get_by_label("The measure: Diameter").fill("4 in")
    desk.get_by_label("The measure: Length").fill("101.6 mm")
    desk.get_by_role("button", name="Save shape").click()
    desk.get_by_role("img", name="Sketch of the part").wait_for()
    # pi/4 x (101.6 mm)³ at 7200 kg/m3 is 5.9307 kg, 13.07 lb.
    assert "13.07 lb" in desk.locator("#calculation").inner_text()

    # The decision, weighed and with its reason.
    desk.goto(f"{part.get_absolute_url()}decide/")
    desk.get_by_role("link", name="Cast", exact=True).click()
    for label, figure in (
        ("Cost, at least", "80"),
        ("Cost, likely", "100"),
        ("Cost, at most", "140"),
    ):
        desk.get_by_label(label).fill(figure)
    desk.get_by_role("button", name="Save").click()
    desk.locator("#form").get_by_label("Cast", exact=True).check()
    desk.get_by_label("Why this way").fill("Nothing like it is sold")
    desk.get_by_label("Add this estimate to the costs").check()
    desk.get_by_role("button", name="Decide").click()
    desk.get_by_role("heading", name="Stage by stage").wait_for()
    assert "£100" in desk.locator("main").inner_text()
    job = Job.objects.get()

    # A size of its pattern, taken from the measure that stands.
    desk.get_by_role("link", name="Pattern sheet").click()
    desk.get_by_role("link", name="Add a size").click()
    desk.get_by_label("Or one taken already").select_option(index=1)
    desk.get_by_label("Outside diameter or length, machined both sides").check()
    desk.get_by_role("button", name="Save size").click()
    assert "Ask the founder" in desk.locator("#calculation").inner_text()
    assert Measurement.objects.count() == 2

    # Stage by stage, one button each, to the engine.
    desk.goto(f"/engines/{engine.pk}/jobs/{job.pk}/")
    for _ in range(PRESSES):
        desk.locator("form.buttons button.main").click()
        desk.wait_for_load_state()
    assert desk.locator("form.buttons button.main").count() == 0
    assert job_status(job).fitted == 1
    assert PieceEntry.objects.filter(job=job, kind="stage").count() == PRESSES - 1
    assert "1 of 1 fitted" in desk.locator("main").inner_text()
