"""The page session: signed, not readable by scripts, not sent along from other sites, and over
https a cookie of its own.

One laptop answers over http and https under one host, and browsers share cookies over ports: the
https cookie has its own name, so that it is never sent in the open.
"""

from flask import Flask, request
from flask.sessions import SecureCookieSessionInterface


class Sessions(SecureCookieSessionInterface):
    """Secure and by another name under https."""

    def get_cookie_secure(self, app: Flask) -> bool:
        """Whether the browser may send the cookie over https only."""
        return request.is_secure

    def get_cookie_name(self, app: Flask) -> str:
        """`__Secure-` is a promise that browsers check (RFC 6265bis)."""
        name: str = app.config["SESSION_COOKIE_NAME"]
        return f"__Secure-{name}" if request.is_secure else name
