"""The commands: parse, call a service, print an output.

`main` is the console entry. A PartsError, or a mistake in the command line, is one clear line on standard
error and exit code 2; nothing has been changed then. Nothing heavy is imported before a command runs.

    app          the program and its own options    edge         the terminal's side of every command
    talk         the conversation                   look         identify, equivalents, words
    setup        shop, machines, positions, shelf   ordering     jobs, plans, orders
    keeping      decisions, history, the demo       sources      disputes, numbers
    bringing     import                             safekeeping  backup, restore, check, export

May import everything.
"""

from __future__ import annotations

import contextlib
import sys

OFTEN = 5
"""How often a command makes way for other programs before it says so."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and exit: 0 done, 2 bad input, 130 stopped by the person."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: list[str]) -> int:
    """Run one command line in this process; the exit code."""
    import typer

    from partsdb.errors import PartsError

    usage_error: type[Exception] = typer.BadParameter.__mro__[2]  # the base of all command-line mistakes
    try:
        code = _done(arguments)
        sys.stdout.flush()  # here, where a disk that is full can still be told in one line
    except PartsError as fault:
        return _complain(str(fault))
    except usage_error as fault:
        return _complain(_message(fault) or "Say what to do; see --help")
    except (KeyboardInterrupt, typer.Abort, EOFError):
        print("\nStopped. What you had entered is kept.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except OSError as fault:
        return _complain(_file_trouble(fault))
    return code if isinstance(code, int) else 0


def _done(arguments: list[str]) -> object:
    """Runs the command; again when another program wrote between its look at the records and its own writing, which
    then wrote nothing."""
    from partsdb.cli.app import app
    from partsdb.errors import Overtaken

    for _ in range(OFTEN):
        with contextlib.suppress(Overtaken):
            return app(arguments, standalone_mode=False)
    return app(arguments, standalone_mode=False)


def _file_trouble(fault: OSError) -> str:
    """What is wrong with a file that no command expected trouble with: the answer's own, or one of the computer's."""
    reason = (fault.strerror or "it can't be used").lower()
    if fault.filename is None:
        return f"The answer can't be written whole: {reason}. Make room or write it elsewhere, and look what is kept"
    return f"{fault.filename} can't be used: {reason}. Make room, or allow it, and try again"


def _message(fault: BaseException) -> str:
    spoken = getattr(fault, "format_message", None)
    return str(spoken() if spoken else fault)


def _complain(text: str) -> int:
    from partsdb.guard import clean

    print(" ".join(clean(text).split()), file=sys.stderr)
    return 2
