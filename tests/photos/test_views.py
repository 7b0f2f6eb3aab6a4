"""A photograph is added from its own page."""

import pytest
from django.urls import reverse

from parts.photos.models import Photo
from tests import make

pytestmark = pytest.mark.django_db


def test_one_photograph_is_added_to_a_part(client):
    engine = make.engine()
    part = make.part(engine)
    client.force_login(make.member(engine, "helper"))
    page = f"{reverse('parts:photo_new', args=[engine.pk])}?part={part.pk}"
    field = client.get(page).content.decode().split('type="file"')[1].split(">")[0]
    assert "multiple" not in field
    answer = client.post(page, {"picture": make.upload(), "caption": "Cleaned", "credit": "Ada"})
    assert answer["Location"] == part.get_absolute_url()
    row = Photo.objects.get()
    assert (row.part, row.caption, row.credit) == (part, "Cleaned", "Ada")
