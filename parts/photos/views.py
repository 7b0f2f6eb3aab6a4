"""Photographs: taking them in, showing them, tying them before and after."""

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.cache import get_conditional_response

from parts.care.models import Repair
from parts.record.access import Right, open_engine
from parts.record.actions.saving import Refused, name_of
from parts.record.models import Component, Find, Part
from parts.record.views.common import (
    form_page,
    page_of,
    row_asked,
    row_page,
    send,
    sheet,
)

from .actions import photos
from .forms import PairForm, PhotoAboutForm, PhotoForm
from .models import Photo, PhotoPair

OF = {"part": Part, "find": Find, "component": Component, "repair": Repair}


def photo_list(request, engine):
    """All photographs of the engine, newest first."""
    access = open_engine(request.user, engine)
    rows = Photo.objects.filter(engine=access.engine).select_related("part", "find")
    pairs = PhotoPair.objects.filter(engine=access.engine).select_related("before", "after")
    return sheet(
        request, access, "photos/list.html", 1, page=page_of(request, rows, 60), pairs=pairs
    )


def photo(request, engine, pk):
    """One photograph, large, with what is known of it."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(
        Photo.objects.select_related("part", "find", "component"), pk=pk, engine=access.engine
    )
    return sheet(request, access, "photos/photo.html", 1, photo=row, may_mend=access.may_mend(row))


def photo_file(request, engine, pk, size):
    """The bytes of a picture that is shown."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Photo, pk=pk, engine=access.engine)
    return picture(request, row, size)


def picture(request, photo: Photo, size: int) -> HttpResponseBase:
    """Answer with a picture, or that the browser's own copy is still good.

    It is made again from the original if it went missing.
    """
    if size not in Photo.SIZES:
        raise Http404("There is no picture of that size.")
    name = photo.shown_path(size)
    if not default_storage.exists(name):
        try:
            photos.rebuild(photo)
        except (Refused, OSError):
            raise Http404("This picture is missing. A backup may still have it.") from None
    etag = f'"{photo.sha256}-{size}"'
    response = FileResponse(default_storage.open(name), content_type="image/jpeg")
    response["ETag"] = etag
    return get_conditional_response(request, etag, response=response)


def photo_original(request, engine, pk):
    """The untouched original, which may tell its place: for leads and helpers."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = get_object_or_404(Photo, pk=pk, engine=access.engine)
    return FileResponse(
        row.original.open(), as_attachment=True, filename=f"{row.day}-{row.pk}.{_end(row)}"
    )


def _end(photo: Photo) -> str:
    return photo.original.name.rsplit(".", 1)[-1]


def photo_new(request, engine):
    """Add a photograph of what the address names: ?part=12, ?find=3, ?component=1, ?repair=2."""
    access = open_engine(request.user, engine, Right.RECORD)
    of, shown = row_asked(request, access, **OF)
    form = PhotoForm(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        instance=Photo(engine=access.engine, credit=name_of(request.user)),
        engine=access.engine,
        may_pass=access.may_manage,
    )
    back = _back(engine, of, shown)
    if request.method == "POST":

        def keep(by):
            about = form.values() | ({of: shown} if shown else {})
            file = form.cleaned_data["picture"]
            return photos.take_in(access.engine, file, by=by, uid=form.uid, **about)

        if send(request, form, keep, said="The photograph is saved."):
            return redirect(back)
    title = f"Photograph of {shown}" if shown else "Add a photograph"
    return form_page(request, access, form, title=title, press="Save", back=back, sheet_no=1)


def _back(engine: int, of: str, shown) -> str:
    if shown is None:
        return reverse("parts:photos", args=[engine])
    return (shown.part if of == "repair" else shown).get_absolute_url()


def photo_edit(request, engine, pk):
    """Change what is said of a photograph."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = get_object_or_404(Photo, pk=pk, engine=access.engine)
    access.need_mend(row)
    form = PhotoAboutForm(
        request.POST or None, instance=row, engine=access.engine, may_pass=access.may_manage
    )
    return row_page(
        request,
        access,
        form,
        title="About this photograph",
        said="The photograph is changed.",
        back=reverse("parts:photo", args=[engine, pk]),
        sheet_no=1,
    )


def pair_new(request, engine):
    """Tie two photographs of one view, before and after."""
    access = open_engine(request.user, engine, Right.RECORD)
    form = PairForm(
        request.POST or None,
        instance=PhotoPair(engine=access.engine),
        engine=access.engine,
        initial={"before": request.GET.get("before"), "after": request.GET.get("after")},
    )
    back = reverse("parts:photos", args=[engine])
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            photos.pair(data["before"], data["after"], data["view"], by=request.user)
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(back)
    return form_page(
        request,
        access,
        form,
        title="Before and after",
        press="Pair them",
        back=back,
        sheet_no=1,
    )
