"""Who may call the exchange from another origin: the one at which phones keep the app, and the
asked address itself.

A phone's app lives at one origin for good and reaches the laptop at whatever address it has today,
so the exchange is asked across origins (Fetch standard, CORS). It is deaf to cookies, so an origin
alone opens nothing.
"""

from flask import Flask, Response, current_app, request

METHODS = "GET, HEAD, POST, PUT"
HEADERS = "authorization, content-type, content-range"
EXPOSED = "x-held, x-stored"


def init_app(app: Flask) -> None:
    """Answer preflights before anything else looks at them, and name the allowed origin in every
    answer of the exchange."""
    app.before_request(_preflight)
    app.after_request(_allow)


def _preflight() -> Response | None:
    asked = request.method == "OPTIONS" and request.path.startswith("/api/")
    return Response(status=204) if asked else None


def _allow(response: Response) -> Response:
    if not request.path.startswith("/api/"):
        return response
    response.vary.add("Origin")
    origin = request.headers.get("Origin", "")
    if origin and origin in (current_app.config["ORIGIN"], request.host_url.rstrip("/")):
        response.headers["Access-Control-Allow-Origin"] = origin
        response.headers["Access-Control-Expose-Headers"] = EXPOSED
        if request.method == "OPTIONS":
            response.headers["Access-Control-Allow-Methods"] = METHODS
            response.headers["Access-Control-Allow-Headers"] = HEADERS
            response.headers["Access-Control-Max-Age"] = "600"
    return response
