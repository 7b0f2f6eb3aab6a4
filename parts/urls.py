"""All addresses."""

from django.urls import path

from .views import (
    bodies,
    care,
    engine,
    history,
    making,
    money,
    parts,
    patterns,
    people,
    photos,
    pieces,
    reports,
    search,
    site,
)

app_name = "parts"

E = "engines/<int:engine>/"

urlpatterns = [
    path("patterns/", patterns.page, name="patterns"),
    # The engine
    path("", engine.home, name="home"),
    path("engines/new/", engine.engine_new, name="engine_new"),
    path(E, engine.engine, name="engine"),
    path(f"{E}edit/", engine.engine_edit, name="engine_edit"),
    path(f"{E}owners/", engine.owners, name="owners"),
    path(f"{E}owners/new/", engine.owner_new, name="owner_new"),
    path(f"{E}owners/<int:pk>/edit/", engine.owner_edit, name="owner_edit"),
    path(f"{E}plans/", engine.plans, name="plans"),
    path(f"{E}plans/new/", engine.plan_new, name="plan_new"),
    # Progress and reports
    path(f"{E}reports/", reports.report_list, name="report_list"),
    path(f"{E}reports/new/", reports.report_new, name="report_new"),
    path(f"{E}reports/<int:pk>/", reports.report, name="report"),
    path(f"{E}reports/<int:pk>/report.pdf", reports.report_pdf, name="report_pdf"),
    path(
        f"{E}reports/<int:pk>/photo/<int:photo>/<int:size>.jpg",
        reports.report_photo,
        name="report_photo",
    ),
    path(f"{E}reports/<int:pk>/links/new/", reports.link_new, name="link_new"),
    path(f"{E}links/<int:pk>/withdraw/", reports.link_withdraw, name="link_withdraw"),
    path("read/<str:secret>/", reports.read, name="read"),
    path("read/<str:secret>/report.pdf", reports.read_pdf, name="read_pdf"),
    path(
        "read/<str:secret>/photo/<int:photo>/<int:size>.jpg", reports.read_photo, name="read_photo"
    ),
    # People and hours
    path(f"{E}people/", people.people, name="people"),
    path(f"{E}people/new/", people.person_new, name="person_new"),
    path(f"{E}people/<int:pk>/role/", people.person_role, name="person_role"),
    path(f"{E}people/<int:pk>/password/", people.person_password, name="person_password"),
    path(f"{E}people/<int:pk>/let-go/", people.person_remove, name="person_remove"),
    path(f"{E}hours/", people.hours, name="hours"),
    path(f"{E}hours/new/", people.hours_new, name="hours_new"),
    path(f"{E}hours/<int:pk>/edit/", people.hours_edit, name="hours_edit"),
    # Parts and components
    path(f"{E}parts/", parts.part_list, name="part_list"),
    path(f"{E}parts/new/", parts.part_new, name="part_new"),
    path(f"{E}parts/<int:pk>/", parts.part, name="part"),
    path(f"{E}parts/<int:pk>/edit/", parts.part_edit, name="part_edit"),
    path(f"{E}parts/<int:pk>/history/", history.part_history, name="part_history"),
    path(f"{E}parts/<int:pk>/pieces/<slug:verb>/", pieces.part_act, name="part_act"),
    path(f"{E}parts/<int:pk>/propose/", pieces.part_propose, name="part_propose"),
    path(f"{E}components/", parts.components, name="components"),
    path(f"{E}components/new/", parts.component_new, name="component_new"),
    path(f"{E}components/<int:pk>/", parts.component, name="component"),
    path(f"{E}components/<int:pk>/edit/", parts.component_edit, name="component_edit"),
    path(f"{E}components/<int:pk>/still/", pieces.component_still, name="component_still"),
    path(f"{E}proposals/", pieces.proposal_list, name="proposals"),
    path(f"{E}proposals/<int:pk>/", pieces.proposal_answer, name="proposal_answer"),
    # Measures, condition, repairs, freeing
    path(f"{E}measures/new/", care.measurement_new, name="measurement_new"),
    path(f"{E}measures/<int:pk>/edit/", care.measurement_edit, name="measurement_edit"),
    path(f"{E}notes/new/", care.note_new, name="note_new"),
    path(f"{E}notes/<int:pk>/edit/", care.note_edit, name="note_edit"),
    path(f"{E}repairs/new/", care.repair_new, name="repair_new"),
    path(f"{E}repairs/<int:pk>/edit/", care.repair_edit, name="repair_edit"),
    path(f"{E}freeing/new/", care.freeing_new, name="freeing_new"),
    path(f"{E}freeing/<int:pk>/edit/", care.freeing_edit, name="freeing_edit"),
    # History and search
    path(f"{E}history/", history.history, name="history"),
    path(f"{E}rows/<slug:kind>/<int:pk>/remove/", history.row_remove, name="row_remove"),
    path(
        f"{E}rows/<slug:kind>/<int:pk>/bring-back/", history.row_bring_back, name="row_bring_back"
    ),
    path(f"{E}search/", search.search, name="search"),
    # Site: finds and the diary
    path(f"{E}finds/", site.site, name="site"),
    path(f"{E}finds/new/", site.find_new, name="find_new"),
    path(f"{E}finds/<int:pk>/", site.find, name="find"),
    path(f"{E}finds/<int:pk>/edit/", site.find_edit, name="find_edit"),
    path(f"{E}finds/<int:pk>/identify/", site.identify, name="identify"),
    path(f"{E}finds/<int:pk>/parts/<int:part>/take-back/", site.take_back, name="take_back"),
    path(f"{E}diary/", site.diary, name="diary"),
    path(f"{E}diary/new/", site.diary_new, name="diary_new"),
    path(f"{E}diary/<int:pk>/edit/", site.diary_edit, name="diary_edit"),
    # Photographs
    path(f"{E}photos/", photos.photo_list, name="photos"),
    path(f"{E}photos/new/", photos.photo_new, name="photo_new"),
    path(f"{E}photos/<int:pk>/", photos.photo, name="photo"),
    path(f"{E}photos/<int:pk>/edit/", photos.photo_edit, name="photo_edit"),
    path(f"{E}photos/<int:pk>/<int:size>.jpg", photos.photo_file, name="photo_file"),
    path(f"{E}photos/<int:pk>/original/", photos.photo_original, name="photo_original"),
    path(f"{E}photos/pairs/new/", photos.pair_new, name="pair_new"),
    # Parts to make
    path(f"{E}makings/", making.makings, name="makings"),
    path(f"{E}makings.csv", making.makings_csv, name="makings_csv"),
    path(f"{E}makings/to-decide/", making.undecided, name="undecided"),
    path(f"{E}makings/to-decide.csv", making.undecided_csv, name="undecided_csv"),
    path(f"{E}parts/<int:part>/decide/", making.decide, name="decide"),
    path(f"{E}makings/<int:pk>/", making.making, name="making"),
    path(f"{E}makings/<int:pk>/edit/", making.making_edit, name="making_edit"),
    path(f"{E}makings/<int:pk>/stage/", making.making_reach, name="making_reach"),
    path(f"{E}makings/<int:pk>/fitted/", making.making_fit, name="making_fit"),
    path(f"{E}makings/<int:pk>/set-back/", making.making_back, name="making_back"),
    path(f"{E}makings/<int:pk>/taken-off/", making.making_off, name="making_off"),
    path(f"{E}makings/<int:pk>/more/", making.making_more, name="making_more"),
    path(f"{E}makings/<int:pk>/reopen/", making.making_withdraw, name="making_withdraw"),
    # The workshop: shapes and sizes
    path(f"{E}parts/<int:part>/shapes/", bodies.bodies, name="bodies"),
    path(f"{E}parts/<int:part>/shapes/new/", bodies.body_new, name="body_new"),
    path(f"{E}shapes/<int:pk>/edit/", bodies.body_edit, name="body_edit"),
    # Costs
    path(f"{E}costs/", money.costs, name="costs"),
    path(f"{E}costs.csv", money.costs_csv, name="costs_csv"),
    path(f"{E}costs/tally.csv", money.tally_csv, name="tally_csv"),
    path(f"{E}costs/new/", money.cost_new, name="cost_new"),
    path(f"{E}costs/<int:pk>/", money.cost, name="cost"),
    path(f"{E}costs/<int:pk>/edit/", money.cost_edit, name="cost_edit"),
    path(f"{E}costs/<int:pk>/amounts/new/", money.amount_new, name="amount_new"),
    path(f"{E}costs/<int:pk>/papers/new/", money.paper_new, name="paper_new"),
    path(f"{E}costs/amounts/<int:pk>/edit/", money.amount_edit, name="amount_edit"),
    path(f"{E}costs/papers/<int:pk>/", money.paper, name="paper"),
]
