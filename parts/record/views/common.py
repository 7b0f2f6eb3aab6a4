"""What many screens do: show a form, save it, and tell when someone else saved meanwhile."""

from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import condition

from parts.engineering.measures.reading import whole

from ..actions import saving
from ..actions.saving import Clash, Refused
from ..models import Change, Membership

PAGE = 100


@dataclass(frozen=True)
class Differing:
    """A field of a row that someone else saved meanwhile, with both versions."""

    label: str
    theirs: str
    yours: str


def today():
    return timezone.localdate()


@lru_cache
def app_version() -> int:
    """When the newest file of the app was written, as it stood when it was started."""
    folders = (Path(settings.BASE_DIR) / name for name in ("parts", "templates", "static"))
    return max(one.stat().st_mtime_ns for folder in folders for one in folder.rglob("*.*"))


def page_tag(request, engine, **_) -> str | None:
    """The tag of a page of an engine: everything that it is made of. None while a message waits.

    Every change of the record is in its history, so the last of it stands for all of them. The
    members are told with their roles and names, which are changed elsewhere.
    """
    if len(messages.get_messages(request)):
        return None
    members = Membership.objects.filter(engine=engine).order_by("pk")
    names = ("user_id", "role", "user__first_name", "user__last_name", "user__username")
    changes = Change.objects.filter(engine=engine).order_by("-pk").values_list("pk", flat=True)
    told = (
        *(request.get_full_path(), request.user.pk, request.META.get("CSRF_COOKIE")),
        *(today(), app_version(), changes.first(), list(members.values_list(*names))),
    )
    return f'"{sha256(repr(told).encode()).hexdigest()}"'


# A view whose page the browser keeps and shows again until something that it is made of changes.
kept_till_changed = condition(page_tag)


def page_of(request, rows, size: int = PAGE):
    """The page of a long list that the address asks for."""
    return Paginator(rows, size).get_page(request.GET.get("page"))


def row_asked(request, access, **models):
    """The row that the address names, and by which name: ?part=12 or ?find=3; ("", None) if none.

    Raises Http404 when it names a row that this engine does not have.
    """
    for name, model in models.items():
        if asked := request.GET.get(name):
            return name, get_object_or_404(model, pk=whole(asked), engine=access.engine)
    return "", None


def sheet(request, access, template: str, sheet: int, status: int = 200, **context):
    """Render a page of an engine."""
    context |= {"access": access, "engine": access.engine, "sheet": sheet}
    return render(request, template, context, status=status)


def form_page(request, access, form, *, title: str, back: str, sheet_no=2, **context):
    """Render a page that is one form. A refused form answers 200 and keeps what was typed.

    Over a row of the record it offers to delete the row, where a person may delete such rows.
    """
    row, usual = getattr(form, "instance", None), {"press": "Save"}
    if row is not None and row.pk is not None:
        remove = (row._meta.model_name, row.pk) if row.deletable else None
        usual = {"press": "Save", "remove": remove}
    template = context.pop("template", "shared/form_page.html")
    context |= {"form": form, "title": title, "back": back}
    return sheet(request, access, template, sheet_no, **usual | context)


def save(request, form, *, said, write=None):
    """Write the row of a form, a new one or over the one it shows; None when it is refused.

    When someone else saved meanwhile, the form keeps what was typed, shows both versions
    (`form.differing`) and is ready to be sent again over the newer one.

    Args:
        said: A sentence for the person who saved, or what makes it of the row.
        write: The action that writes, where the row has rules of its own.
    """
    if not form.is_valid():
        return None
    row, more = form.instance, {"by": request.user} | form.besides()
    new, seen = row.pk is None, form.cleaned_data.get(_version_field(form))
    seen = row.version if seen is None else seen
    try:
        if new:
            row = (write or saving.add)(row, **more)
        else:
            row = (write or saving.change)(row, form.values(), seen=seen, **more)
    except Clash as clash:
        show_clash(form, clash)
        return None
    except Refused as refusal:
        form.add_error(None if new else form.refused_at, str(refusal))
        if new:
            row.pk = None  # what was begun is rolled back
        return None
    if not new and row.version == seen:
        messages.info(request, "Nothing was changed: all is as it was.")
    else:
        messages.success(request, said(row) if callable(said) else said)
    return row


def row_page(request, access, form, *, back: str, said, to=None, write=None, **page):
    """A page on which a row is added, or one of the record is edited or deleted.

    Args:
        back: Where Cancel leads.
        said, write: As `save` takes them.
        to: Where saving leads: an address or a row; left out, `back`.
        page: As `form_page` takes it: title, press, sheet_no and what its template asks for.
    """
    if request.method == "POST" and save(request, form, said=said, write=write):
        return redirect(to or back)
    return form_page(request, access, form, back=back, **page)


def show_clash(form, clash: Clash) -> None:
    """Put both versions before the person, ready to be sent again over the newer one."""
    form.differing = [
        Differing(
            form.fields[name].label or name.replace("_", " "),
            _shown(clash.now, name, getattr(clash.now, name)),
            _shown(clash.now, name, value),
        )
        for name, value in clash.wanted.items()
        if name in form.fields and getattr(clash.now, name) != value
    ]
    if clash.now.removed_at is not None:
        form.add_error(None, "Someone else removed this while you were writing.")
        return
    form.add_error(
        None,
        "Someone else changed this while you were writing. Both versions are shown: "
        "correct yours and keep it, or leave theirs.",
    )
    form.data = form.data.copy()
    form.data[form.add_prefix(_version_field(form))] = clash.now.version


def _version_field(form) -> str:
    return getattr(form, "version_field", "seen")


def _shown(row, name: str, value) -> str:
    choices = dict(row._meta.get_field(name).flatchoices)
    return str(choices.get(value, "nothing" if value in (None, "") else value))


def act(request, verb, *args, said, form=None, **kwargs):
    """Call an action; say what was done, or what refused it. Return its result or None.

    `said` is a sentence, or makes one of the result of the action.
    With a form, a refusal is shown on the form, which keeps what was typed.
    """
    try:
        result = verb(*args, by=request.user, **kwargs)
    except Refused as refusal:
        if form is not None:
            form.add_error(None, str(refusal))
        else:
            messages.error(request, str(refusal))
        return None
    messages.success(request, said(result) if callable(said) else said)
    return True if result is None else result


def send(request, form, verb, *, said):
    """Save a form that carries files; return its row, or None when it is refused.

    The files of a refused form wait for it to be sent again. Of a form that was saved before,
    only files that are not there yet are added; whoever typed other words is told.
    """
    row = act(request, verb, form=form, said=said) if form.is_valid() else None
    if row is None:
        form.let_wait()
        return None
    form.went_in()
    values = form.values() if row.sent_before and hasattr(form, "values") else {}
    if any(value not in ("", None) and getattr(row, k) != value for k, value in values.items()):
        messages.warning(
            request,
            "This was saved before, with other words, and those stand. Edit it to change them.",
        )
    return row


def back_to(row):
    return redirect(row.get_absolute_url())
