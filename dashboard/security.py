"""What every answer of the server carries, and what it refuses to read."""

from __future__ import annotations

from collections.abc import Sequence

from flask import Flask, Response, request

from dashboard.settings import Settings
from dashboard.texts import Texts

__all__ = ["guard"]

_HEADERS = {
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


def guard(server: Flask, settings: Settings, script_hashes: Sequence[str], t: Texts) -> None:
    """Put headers on every answer of a server and limit what it reads.

    Parameters
    ----------
    server : flask.Flask
        The server.
    settings : Settings
        Names it answers to; largest request.
    script_hashes : sequence of str
        Hashes of the scripts that stand in the page itself.
    t : Texts
        Words of the messages.
    """
    # Charts set their styles as they draw; nothing but this server is ever asked for anything.
    policy = "; ".join((
        "default-src 'none'", f"script-src 'self' {' '.join(script_hashes)}",
        "style-src 'self' 'unsafe-inline'", "img-src 'self' data: blob:", "font-src 'self'",
        "connect-src 'self'", "manifest-src 'self'", "base-uri 'none'", "form-action 'none'",
        "frame-ancestors 'none'",
    ))  # fmt: skip
    server.config["MAX_CONTENT_LENGTH"] = settings.most_bytes

    @server.before_request
    def _know_the_name() -> tuple[dict[str, str], int] | None:
        name = request.host.rsplit(":", 1)[0] if request.host[-1:] != "]" else request.host
        if name in settings.hosts:
            return None
        return {"message": t("This server does not answer to the name {name}.", name=name)}, 403

    @server.after_request
    def _with_headers(answer: Response) -> Response:
        for name, value in _HEADERS.items():
            answer.headers.setdefault(name, value)
        answer.headers["Content-Security-Policy"] = policy
        if not request.path.startswith(("/assets/", "/_dash-component-suites/")):
            answer.headers.setdefault("Cache-Control", "no-store")
        return answer

    @server.errorhandler(500)
    def _trouble(_: Exception) -> tuple[dict[str, str], int]:
        return {"message": t("That went wrong here, not with you. Load the page again; if it stays,"
                             " save your job to a file and report it.")}, 500  # fmt: skip

    @server.errorhandler(413)
    def _too_large(_: Exception) -> tuple[dict[str, str], int]:
        most = settings.most_bytes // 1000
        message = t("That is too large to read; a job takes a few kilobytes, the most is {most} kB."
                    " Is it the right file?", most=most)  # fmt: skip
        return {"message": message}, 413
