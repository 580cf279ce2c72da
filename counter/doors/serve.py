"""`spokenrow serve`: the app in a browser, on this machine unless told otherwise."""

import argparse

from counter.cli.arguments import add_ears_arguments, ears_flags
from counter.shared.outward import tell
from engine.base.refusal import Refusal

INSTALL = "pip install 'spokenrow[browser]'"


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("serve", help="open the app in a browser")
    parser.add_argument("name", nargs="?", help="open this make at once")
    parser.add_argument(
        "--host",
        default="127.0.0.1",
        help="the address to serve at; 0.0.0.0 for every network (default: this machine only)",
    )
    parser.add_argument("--port", type=_port, default=8377, help="default: %(default)s")
    parser.add_argument("--quiet", action="store_true", help="no tones and no voice")
    parser.add_argument("--no-ears", action="store_true", help="keyboard only")
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def _port(text: str) -> int:
    port = int(text)
    if not 1 <= port <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is no port: give 1 to 65535")
    return port


def run(arguments: argparse.Namespace) -> int:
    """Serve until interrupted."""
    try:
        from counter.web.door import Door
        from counter.web.serving import BrowserServer, app_command
    except ImportError:
        raise Refusal(f"The browser needs an extra: {INSTALL}") from None
    from counter.shared.places import open_store

    store = open_store(arguments.data)
    try:
        if arguments.name:
            store.load(arguments.name)
    finally:
        store.close()
    more = ["--make", arguments.name] if arguments.name else []
    more += [
        flag for flag in ("--quiet", "--no-ears") if getattr(arguments, flag[2:].replace("-", "_"))
    ]
    more += ears_flags(arguments)
    door = Door(arguments.host, arguments.port)
    try:
        BrowserServer(app_command(arguments.data, more), door, _say).run()
    except OSError as error:
        raise Refusal(
            f"{arguments.host} port {arguments.port} cannot be served "
            f"({error.strerror or error}): choose another with --port or --host."
        ) from error
    return 0


def _say(text: str) -> None:
    tell(text, flush=True)
