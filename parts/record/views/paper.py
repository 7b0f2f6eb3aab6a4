"""PDFs as answers, on the paper that the address asks for."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect

from parts.drafting import paper


def on_paper(request, document, back: str):
    """A PDF as an answer; where this machine makes none, back with a sentence why."""
    if paper.trouble():
        messages.error(request, paper.trouble())
        return redirect(back)
    name, kind, content = document()
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def paper_size(request) -> str:
    return "letter" if request.GET.get("paper") == "letter" else "A4"
