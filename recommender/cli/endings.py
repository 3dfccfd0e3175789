"""How a command ends: exit codes, messages, and what happens to errors; no traceback reaches a person."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from catalog_schema.problems import InputError

if TYPE_CHECKING:
    from pydantic import BaseModel


class Ending(IntEnum):
    """Exit codes."""

    DONE = 0
    NO_KIT = 1
    BAD_INPUT = 2
    FAULT = 3
    INTERRUPTED = 130


class Refusal(click.ClickException):
    """Something that was asked for can't be done; the message says what to do instead."""

    exit_code = int(Ending.BAD_INPUT)


class Failure(click.ClickException):
    """The program could not finish."""

    exit_code = int(Ending.FAULT)


class Commands(click.Group):
    """A group of commands that ends every error with a message and its exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was asked for."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except KeyboardInterrupt:
            say("Stopped.")
            ctx.exit(Ending.INTERRUPTED)
        except InputError as error:
            _list_problems(error)
            ctx.exit(Ending.BAD_INPUT)
        except Exception as error:
            raise Failure(
                f"this is a fault of the program, not of your files; use no figure of this run. "
                f"Please report it: {type(error).__name__}: {' '.join(str(error).split())}"
            ) from error


def _list_problems(error: InputError) -> None:
    from recommender.report.layout import clean

    for problem in error.problems:
        say(clean(str(problem)))
    count = len(error.problems)
    say(f"{count} problem{'' if count == 1 else 's'} found.")


def say(message: str) -> None:
    """A message for the person, on the error stream."""
    click.echo(message, err=True)


def show(text: str | bytes) -> None:
    """A result, on the output stream; bytes are written as they are. A reader that stops early is no fault."""
    try:
        click.echo(text)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def give(result: BaseModel, json_file: str | None, text: Callable[[], str]) -> None:
    """The result as text, and as JSON where that is asked for; '-' gives the JSON alone."""
    as_json = (result.model_dump_json(indent=2) + "\n").encode() if json_file else b""
    if json_file == "-":
        show(as_json.rstrip(b"\n"))
        return
    if json_file:
        try:
            Path(json_file).write_bytes(as_json)
        except OSError as error:
            raise Refusal(f"can't write {json_file}: {error.strerror}") from error
        say(f"Wrote {json_file}")
    show(text())


def use_any_terminal() -> None:
    """Show what a terminal's letters lack as '?', instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
