"""All addresses: those of each subject, gathered."""

from itertools import chain

from django.urls import include, path

from .care import urls as care
from .decide import urls as decide
from .drawings import urls as drawings
from .engine import urls as engine
from .finds import urls as finds
from .forecast import urls as forecast
from .lifting import urls as lifting
from .money import urls as money
from .overview import urls as overview
from .people import urls as people
from .photos import urls as photos
from .record import urls as record
from .reports import urls as reports
from .workshop.bars import urls as bars
from .workshop.bearings import urls as bearings
from .workshop.fasteners import urls as fasteners
from .workshop.jobs import urls as jobs
from .workshop.metal import urls as metal
from .workshop.patterns import urls as patterns
from .workshop.pours import urls as pours
from .workshop.shapes import urls as shapes

app_name = "parts"


OF_AN_ENGINE = (
    overview,
    people,
    engine,
    forecast,
    drawings,
    reports,
    record,
    care,
    finds,
    photos,
    jobs,
    decide,
    shapes,
    patterns,
    bearings,
    metal,
    pours,
    lifting,
    money,
    fasteners,
    bars,
)

urlpatterns = [
    *overview.top,
    *people.top,
    *engine.top,
    *reports.top,
    path(
        "engines/<row:engine>/",
        include(list(chain.from_iterable(subject.urlpatterns for subject in OF_AN_ENGINE))),
    ),
]
