"""`earwitness review`: a finished run on the desk, in the browser."""

from __future__ import annotations

import getpass
import os
import secrets
import sys
import threading
import webbrowser
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from earwitness.pipeline.command.console import CAUTION_LINE, complaints, results
from earwitness.schemas import InputError, Problem

if TYPE_CHECKING:
    from earwitness.pipeline.review import Desk
    from earwitness.pipeline.review.web import Settings
    from earwitness.pipeline.review.web.doors import Door
    from earwitness.pipeline.review.web.serving import Certificate

TOKEN = "EARWITNESS_DESK_TOKEN"
"""Variable of the environment: a token of one's own choice. Not an option: other users see a command's options."""
_ANYWHERE = ("0.0.0.0", "::", "")


def review_command(
    out: Annotated[Path | None, typer.Argument(help="Folder of a finished run.", show_default=False)] = None,
    media: Annotated[
        Path | None,
        typer.Option(help="Folder with videos or sounds, named as their recording is, or in its description."),
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(help="Where decisions are kept: postgresql://... for a team; default: OUT/review.sqlite."),
    ] = None,
    checklist: Annotated[
        Path | None, typer.Option(help="Where the run's checklist lies now; default: where the run says.")
    ] = None,
    reviewer: Annotated[
        str | None,
        typer.Option(help="Your name, for the record, where nobody signs in; default: that of your account."),
    ] = None,
    host: Annotated[
        str, typer.Option(help="Address to listen at; one that others can reach needs --token or --users.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port to listen at; 0: any that is free.")] = 8321,
    token: Annotated[
        bool,
        typer.Option(
            "--token", help=f"People sign in with a name and a token: one made up and printed, or that of ${TOKEN}."
        ),
    ] = False,
    users: Annotated[
        Path | None,
        typer.Option(help="People sign in with passwords of their own: a TOML file of lines that --new-user prints."),
    ] = None,
    known_as: Annotated[
        list[str] | None,
        typer.Option(help="A further name that the desk is reached by, like that of a proxy; once for each."),
    ] = None,
    tls_cert: Annotated[Path | None, typer.Option(help="Certificate for https, in PEM.")] = None,
    tls_key: Annotated[Path | None, typer.Option(help="Its key, in PEM.")] = None,
    behind_https: Annotated[
        bool,
        typer.Option(
            "--behind-https",
            help="A proxy that is named by --known-as speaks https with the browsers: cookies are for https alone.",
        ),
    ] = False,
    no_open: Annotated[bool, typer.Option("--no-open", help="Do not open the browser.")] = False,
    new_user: Annotated[
        str | None,
        typer.Option(help="Ask for a password, print this person's line for the file of --users, and end."),
    ] = None,
) -> None:
    """Correct a run's suggestions at the desk, in your browser.

    What you decide is kept in OUT/review.sqlite at once. The run's own files are not touched, and drafting again keeps
    every decision. Publishing the run takes the decisions in.

        earwitness review dive_draft --media videos
    """
    # Only this command needs a server: the others start quicker without.
    from earwitness.pipeline.review.desk import open_desk
    from earwitness.pipeline.review.web import Settings, make_app
    from earwitness.pipeline.review.web.doors import new_user_line
    from earwitness.pipeline.review.web.films import Films
    from earwitness.pipeline.review.web.serving import serve, take_address
    from earwitness.taxonomy import warm_up

    if new_user is not None:
        # Not through `results`, which would break a long line.
        print(new_user_line(new_user, _password()))
        return
    if out is None:
        raise typer.BadParameter("the folder of a finished run is needed.", param_hint="OUT")
    certificate = _certificate(tls_cert, tls_key)
    if behind_https and not known_as:
        remedy = "--known-as with the name that browsers reach the proxy by; it has to pass that on as the Host"
        raise InputError(Problem("--behind-https", 0, "needs the proxy's name", remedy))
    door, shown = _door(host, known_as or [], token, users)
    name = _reviewer(reviewer)
    with complaints.status("Opening the run"):
        desk = open_desk(out, database=database, checklist=checklist)
    try:
        lacking = Films(desk, media).lacking()
        with take_address(host, port) as place:
            settings = Settings(
                name,
                media,
                door=door,
                host=host,
                port=place.getsockname()[1],
                names=tuple(known_as or ()),
                secure=certificate is not None or behind_https,
            )
            app = make_app(desk, settings)
            own = _address(settings, speaks_https=certificate is not None)
            address = f"https://{settings.names[0]}/" if behind_https else own
            _tell(desk, settings, own, address, shown, lacking)
            # The first to ask would wait for these.
            for made in (app.state.stack, partial(warm_up, desk.index)):
                threading.Thread(target=made, daemon=True).start()
            serve(app, place, certificate, lambda: _open(address) if not no_open else None)
    finally:
        desk.close()
    results.print("The desk is closed. Everything that was shown as saved is kept.")


def _password() -> str:
    """A password, typed twice and not shown; or a line of the standard input, for scripts."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    password: str = typer.prompt("Password", hide_input=True, confirmation_prompt="The same again", err=True)
    return password


def _certificate(certificate: Path | None, key: Path | None) -> Certificate | None:
    from earwitness.pipeline.review.web.serving import Certificate

    if certificate is None and key is None:
        return None
    if certificate is None or key is None:
        lacking = "--tls-cert" if certificate is None else "--tls-key"
        raise InputError(Problem(lacking, 0, "is missing", "both the certificate and its key"))
    found = Certificate(certificate, key)
    found.check()
    return found


def _door(host: str, names: list[str], token: bool, users: Path | None) -> tuple[Door | None, str | None]:
    """Who may come in, and the token to show where one was made up."""
    from earwitness.pipeline.review.web.doors import TokenDoor, UsersDoor, token_door
    from earwitness.pipeline.review.web.hosts import is_loopback

    if token and users:
        raise InputError(Problem("--token", 0, "does not go with --users", "one of them"))
    if users:
        return UsersDoor(users), None
    if token:
        chosen = os.environ.get(TOKEN)
        if chosen is not None:
            return token_door(chosen), None
        made = secrets.token_urlsafe(18)
        return TokenDoor(made), made
    if not is_loopback(host) or not all(map(is_loopback, names)):
        reason = f"others can reach the desk at {host if not is_loopback(host) else names[0]}"
        remedy = "--token, or --users with a file of people and their passwords"
        raise InputError(Problem("--host" if not is_loopback(host) else "--known-as", 0, reason, remedy))
    return None, None


def _reviewer(given: str | None) -> str:
    from earwitness.pipeline.review.web.doors import LONGEST_NAME, clean_name

    try:
        name = clean_name(given if given is not None else getpass.getuser())
    except (OSError, KeyError, ImportError):
        name = None
    if name is None:
        reason = "your account has no name" if given is None else f"{given[:LONGEST_NAME]!r} is no name"
        raise InputError(Problem("--reviewer", 0, reason, f"your name, 1 to {LONGEST_NAME} printable characters"))
    return name


def _address(settings: Settings, *, speaks_https: bool) -> str:
    """The desk's own address: where it listens at all of a machine's, that of the machine itself."""
    host = "localhost" if settings.host in _ANYWHERE else settings.host
    shown = f"[{host}]" if ":" in host else host
    return f"http{'s' if speaks_https else ''}://{shown}:{settings.port}/"


def _tell(desk: Desk, settings: Settings, own: str, address: str, token: str | None, lacking: list[str]) -> None:
    from earwitness.pipeline.review.web.hosts import is_loopback

    results.print(results.literal(f"The desk is at {address}  (Ctrl+C closes it)"), soft_wrap=True)
    if address != own:
        results.print(results.literal(f"Its proxy has to lead to {own}"), soft_wrap=True)
    if token:
        results.print(results.literal(f"Token to sign in with: {token}"), soft_wrap=True)
    who = "under the name they sign in with" if settings.door else f"by {settings.reviewer}"
    results.print(results.literal(f"Decisions, {who}, are kept in {desk.store.shown}"), soft_wrap=True)
    if settings.media:
        results.print(results.literal(f"Videos and sounds are from {settings.media}"), soft_wrap=True)
    else:
        results.print("No videos: --media names their folder. Everything else works without.")
    if lacking:
        complaints.print(complaints.literal(f"No file of {', '.join(lacking)} lies there."), style="yellow")
    if not is_loopback(settings.host) and not own.startswith("https"):
        warning = (
            "Without --tls-cert and --tls-key, passwords and decisions can be read and changed on the way: "
            "only for a network that you trust."
        )
        complaints.print(warning, style="bold yellow", soft_wrap=True)
    results.print(CAUTION_LINE, style="bold", soft_wrap=True)
    # Whoever waits for the address at the end of a pipe gets it now.
    sys.stdout.flush()


def _open(address: str) -> None:
    # Some browsers come back only when they are closed.
    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
