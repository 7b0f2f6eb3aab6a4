"""Headers that every answer carries. Static files are served before and keep their own."""

from django.conf import settings


def content_policy(get_response):
    """Send the content security policy: nothing runs or loads but what this app serves."""
    policy = "; ".join(f"{name} {value}" for name, value in settings.CONTENT_POLICY.items())

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", policy)
        return response

    return middleware


def caching(get_response):
    """Say who may keep an answer: a member's browser, asking again each time; of a secret, nobody.

    A view that says more of itself keeps its word, but for addresses that are a secret.
    """

    def middleware(request):
        response = get_response(request)
        match = request.resolver_match
        if match and "secret" in match.kwargs:
            response["Cache-Control"] = "private, no-store"
        else:
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return response

    return middleware
