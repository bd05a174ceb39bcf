"""Help for phones: how to trust this pit's pages and keep the app. Public, and on plain http too,
since nothing else works yet."""

from flask import Blueprint, Response, current_app, render_template

from pitcrew.pit.addresses import base_urls
from pitcrew.pit.folder import pit_host
from pitcrew.pit.tls import CertificateFiles, apple_profile, fingerprint, root_der
from pitcrew.web.access import PUBLIC, needs
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("help", __name__)
SCREEN = Screen("help")


@blueprint.get("/help")
@needs(*PUBLIC)
def page() -> str:
    """The steps for both phone systems, with the root's fingerprint to compare."""
    files, origin = _files(), current_app.config["ORIGIN"]
    ready = files.root.exists() and bool(origin)
    return render_template(
        "help/help.html",
        origin=origin,
        ready=ready,
        fingerprint=fingerprint(files) if ready else "",
        name=_name(),
        code=_qr(f"{origin}/join") if ready else "",
        others=[(base, _qr(base)) for base in base_urls(origin, 0)[1:]],
    )


@blueprint.get("/ca.crt")
@needs(*PUBLIC)
def certificate() -> Response:
    """The root certificate, as Android and computers take it."""
    return _download(root_der(_files()), "application/x-x509-ca-cert", "crt")


@blueprint.get("/ca.mobileconfig")
@needs(*PUBLIC)
def profile() -> Response:
    """The root certificate in a profile, as iPhones take it."""
    return _download(
        apple_profile(_files(), _name()), "application/x-apple-aspen-config", "mobileconfig"
    )


def _download(content: bytes, kind: str, ending: str) -> Response:
    return Response(
        content,
        content_type=kind,
        headers={"Content-Disposition": f'attachment; filename="{_name()}.{ending}"'},
    )


def _files() -> CertificateFiles:
    return CertificateFiles(the_pit().folder)


def _name() -> str:
    return pit_host(the_pit().folder).removesuffix(".local")


def _qr(text: str) -> str:
    import segno

    return segno.make(text, error="m", micro=False).svg_inline(
        border=3, light="#fff", svgclass="qr", omitsize=True, lineclass=None
    )
