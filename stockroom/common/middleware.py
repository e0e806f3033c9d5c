"""What every answer of the app bears."""

from django.utils.cache import add_never_cache_headers


def keep_nothing(get_response):
    """What stands behind the sign-in is kept by no browser and no proxy."""

    def answer(request):
        response = get_response(request)
        if request.user.is_authenticated and "no-store" not in response.get("Cache-Control", ""):
            add_never_cache_headers(response)
        return response

    return answer
