"""Light or dark: kept in a cookie on this tablet, for whoever stands at it."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from pinchbolt.bench.shared import LOOKS


@login_not_required
@require_POST
def theme(request: HttpRequest) -> HttpResponse:
    """Set the look and go back to the page."""
    back = request.POST.get("back", reverse("shop_day"))
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = reverse("shop_day")
    # Not redirect(): what was sent is an address, and is never looked up as the name of a page.
    answer = HttpResponseRedirect(back)
    wanted = request.POST.get("look", "auto")
    if wanted in LOOKS:
        answer.set_cookie("look", wanted, max_age=5 * 365 * 24 * 3600, samesite="Lax", httponly=True)
    return answer
