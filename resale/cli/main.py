"""The command line: its commands by name, each loaded when it is asked for."""

from __future__ import annotations

import gc
from importlib import import_module
from typing import Any, NamedTuple, cast

import click

from resale import __version__
from resale.config.private import keep_new_files_private
from resale.errors import ResaleError

FAULT = 2


class Place(NamedTuple):
    """Where a command is, and what it does in a line.

    The line stands here as well as at the command, so that the list of all needs none of them: the
    libraries behind some take seconds to load.
    """

    module: str
    name: str
    line: str


COMMANDS = {
    "accounts": Place(
        "resale.cli.accounts",
        "accounts",
        "Settle with consignors: owed, close, statement, note.",
    ),
    "bring": Place("resale.cli.sales", "bring", "Bring a file of your own past sales in."),
    "bring-back": Place("resale.cli.backup", "bring_copy_back", "Bring a copy of a shop back."),
    "catalogue": Place("resale.cli.files", "catalogue", "Print what a file may hold, as JSON."),
    "chain": Place(
        "resale.cli.chain.sales", "chain", "Bring, learn from and value the sales of many shops."
    ),
    "check": Place("resale.cli.kept_rows", "check", "See that lists agree with the Ledger."),
    "consignors": Place("resale.cli.stock", "consignors_file", "Bring consignors in."),
    "device": Place("resale.cli.devices", "device", "Let tills and scanners ask over the wire."),
    "first-days": Place(
        "resale.cli.first_days", "first_days_now", "Say what a new shop has done, and what is next."
    ),
    "fit": Place("resale.cli.sales", "fit", "Learn prices from all that sold."),
    "keep": Place("resale.cli.backup", "keep", "Keep a copy of the whole shop."),
    "labels": Place("resale.cli.labels", "labels", "List labels, and say which names are one."),
    "learn": Place("resale.cli.files", "learn", "Learn prices from a file of sales."),
    "let-in": Place("resale.cli.serve", "let_in", "Print a link that lets an owner in."),
    "open": Place("resale.cli.serve", "open_shop", "Open the shop's screens."),
    "ordinary": Place("resale.cli.ordinary", "ordinary", "Say what ordinary things bring here."),
    "rate": Place("resale.cli.rate", "rate", "Say what another currency is worth."),
    "read-label": Place("resale.cli.label_photo", "read_label_photo", "Read a label off a photo."),
    "replay": Place("resale.cli.replay", "replay_item", "Work a saved valuation out again."),
    "settings": Place(
        "resale.cli.settings", "settings", "Show the settings, explain one, or change it."
    ),
    "stock": Place("resale.cli.stock", "stock", "Bring in what stands in the shop already."),
    "take-out": Place("resale.cli.sales", "take_out_records", "Write all records to open formats."),
    "tidy-photos": Place("resale.cli.photos", "tidy", "Remove photos that are kept no longer."),
    "value": Place("resale.cli.files", "value", "Price every item of a file."),
}


class Commands(click.Group):
    """A group that loads a command when it is asked for, and says our errors as one sentence."""

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        """Load a command.

        Parameters
        ----------
        ctx : click.Context
        name : str
            As it was typed.

        Returns
        -------
        click.Command or None
            None where there is none of this name.
        """
        place = COMMANDS.get(name)
        if place is None:
            return None
        # Nothing loaded can be thrown away: looking for it all the while takes half a second.
        gc.disable()
        try:
            module = import_module(place.module)
        finally:
            gc.enable()
        return cast("click.Command", getattr(module, place.name))

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the commands."""
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands by their lines, and load none.

        Parameters
        ----------
        ctx : click.Context
        formatter : click.HelpFormatter
            Where the list is written.
        """
        with formatter.section("Commands"):
            formatter.write_dl([(name, place.line) for name, place in COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; an error the user can mend goes to stderr, with exit code 2."""
        try:
            return super().invoke(ctx)
        except ResaleError as fault:
            # A fault of a server says more here than on a page.
            click.echo(str(fault), err=True)
        except click.UsageError as fault:
            click.echo(_usage(fault), err=True)
        except (click.exceptions.Exit, click.Abort):
            raise
        except Exception as fault:
            known = _of_the_disk(fault)
            if known is None:
                raise
            click.echo(known.sentence, err=True)
        ctx.exit(FAULT)

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        """Read the words before the command; a slip there is one sentence too.

        Parameters
        ----------
        info_name : str or None
            Name under which the program was called.
        args : list of str
            Words after it.
        parent : click.Context or None, optional
        **extra : Any
            For click's own method.

        Raises
        ------
        click.exceptions.Exit
            With the code of a fault, if the words cannot be read.
        """
        # Without any word the help is shown, which click does by raising as well.
        if not args:
            return super().make_context(info_name, args, parent, **extra)
        try:
            return super().make_context(info_name, args, parent, **extra)
        except click.UsageError as fault:
            click.echo(_usage(fault), err=True)
            raise click.exceptions.Exit(FAULT) from None


def _of_the_disk(fault: Exception) -> ResaleError | None:
    """Put a fault into words where a full or broken disk is behind it."""
    # Here alone, so that a command without records need not load what reads them.
    from sqlalchemy.exc import SQLAlchemyError  # noqa: PLC0415

    from resale.storage.db.disk_faults import disk_fault  # noqa: PLC0415

    return disk_fault(fault) if isinstance(fault, OSError | SQLAlchemyError) else None


def _usage(fault: click.UsageError) -> str:
    command = fault.ctx.command_path if fault.ctx else "resale"
    known = fault.format_message().rstrip(".")
    return f"{known[:1].lower()}{known[1:]}; see '{command} --help'."


@click.group("resale", cls=Commands, context_settings={"max_content_width": 100})
@click.version_option(__version__, message="resale %(version)s")
def commands() -> None:
    """Price second-hand clothes, shoes and bags, and say why."""
    keep_new_files_private()


def main() -> None:
    """Run the command line."""
    commands.main(prog_name="resale")
