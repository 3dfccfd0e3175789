"""``kitplan sweep``: many seasons drawn around a plan, and what a kit makes of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from recommender.cli import options
from recommender.cli.endings import Ending, Failure, Refusal, give, say
from recommender.cli.folders import loaded
from recommender.cli.progress import shown_progress

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from catalog_schema.units import UnitSystem
    from recommender.sweep.draws import Season
    from recommender.sweep.kits import JudgedKit
    from recommender.sweep.outcomes import DrawOutcome
    from recommender.sweep.result import SweepResult
    from recommender.sweep.settings import Counting, SweepSettings
    from recommender.work.plan import Plan

_Command = TypeVar("_Command", bound=Callable[..., Any])


def _spread(name: str, default: float, most: float, what: str) -> Callable[[_Command], _Command]:
    """An option for how widely something spreads."""
    return click.option(
        name, type=click.FloatRange(0, most), default=default, show_default=True, metavar="PERCENT",
        help=f"Spread of {what}.",
    )  # fmt: skip


@click.command()
@options.plan_dir
@options.catalog
@options.as_json
@options.units
@click.option(
    "--draws", type=click.IntRange(1, 1_000_000), default=200, show_default=True, help="Seasons to draw."
)
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="Seed of the random numbers."
)
@_spread("--sizes", 10.0, 50, "the sizes of pieces")
@_spread("--shares", 20.0, 200, "the shares of work")
@_spread("--prices", 10.0, 100, "the prices")
@click.option(
    "--pieces", type=click.Choice(["poisson", "multinomial", "expected"]), default="poisson", show_default=True,
    help="How a season's pieces are counted.",
)  # fmt: skip
@click.option(
    "--kit", "kit_name", default="plan", show_default=True, metavar="KIT",
    help="Kit to judge: 'plan' for the plan's cheapest, 'owned' for the gear that is owned, or the FILE of a kit as "
    "'kitplan plan --json FILE' writes it.",
)  # fmt: skip
@click.option(
    "--only-judge", is_flag=True, help="Leave out the cheapest kit of every season; many times as fast."
)
@click.option(
    "--processes", type=click.IntRange(1, 256), default=2, show_default=True, help="Processes to start."
)
@click.option("--cluster", metavar="ADDRESS", help="Work on a running dask.distributed cluster instead.")
@click.option(
    "--keep", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="Keep the draws in FILE; a sweep that was stopped goes on from there, and one with more --draws too.",
)  # fmt: skip
@click.option(
    "--larger", is_flag=True,
    help="Show instead what kits planned for larger pieces cost, and how many of the seasons they carry.",
)  # fmt: skip
@click.option(
    "--draw", "number", type=click.IntRange(1), metavar="N", help="Show the draw of this number alone."
)
def sweep(
    plan_dir: Path | None,
    catalog: Path | None,
    json_file: str | None,
    units: UnitSystem | None,
    draws: int,
    seed: int,
    sizes: float,
    shares: float,
    prices: float,
    pieces: Counting,
    kit_name: str,
    only_judge: bool,
    processes: int,
    cluster: str | None,
    keep: Path | None,
    larger: bool,
    number: int | None,
) -> None:
    """Draw many seasons around PLAN and judge a kit by them.

    Sizes, shares and prices spread around those of the plan; the text says how
    often the kit carries a whole season, which job types break it, and what
    the cheapest kit of each season costs and holds. A spread of 10 % means:
    two of three draws within 10 % of the plan's figure. Ctrl-C shows the result
    of what is done so far.
    """
    from recommender.report.sweep_text import draw_text, sweep_text
    from recommender.sweep.settings import SweepSettings

    chosen = loaded(plan_dir, catalog, units)
    settings = SweepSettings(
        draws=draws, seed=seed, size_percent=sizes, share_percent=shares, price_percent=prices, pieces=pieces,
        cheapest_kits=not only_judge,
    )  # fmt: skip
    if larger:
        _larger(chosen, settings, json_file)
        return
    kit = _kit(chosen, kit_name)
    if number is not None:
        season, outcome = _drawn(chosen, settings, kit, number)
        shown = (season, outcome, chosen.catalogue.currency, chosen.settings.units)
        give(outcome, json_file, lambda: draw_text(*shown))
        return
    result = _swept(chosen, settings, kit, processes, cluster, keep)
    give(result, json_file, lambda: sweep_text(result))
    if result.status == "stopped":
        say(f"Stopped after {result.draws:,d} of {draws:,d} draws.")
        click.get_current_context().exit(Ending.INTERRUPTED)


def _larger(plan: Plan, settings: SweepSettings, json_file: str | None) -> None:
    from recommender.report.larger_text import larger_text
    from recommender.sweep.larger import larger_kits

    with shown_progress() as progress:
        result = larger_kits(plan, settings, progress=progress)
    give(result, json_file, lambda: larger_text(result))
    if result.draws < settings.draws:
        say(f"Stopped after {result.draws:,d} of {settings.draws:,d} draws.")
        click.get_current_context().exit(Ending.INTERRUPTED)


def _drawn(plan: Plan, settings: SweepSettings, kit: JudgedKit, number: int) -> tuple[Season, DrawOutcome]:
    from recommender.sweep.kits import UnfitKit
    from recommender.sweep.outcomes import SeasonJudge

    try:
        judge = SeasonJudge(plan, settings, kit)
    except UnfitKit as error:
        raise Refusal(str(error)) from error
    return judge.season(number), judge.outcome(number)


def _swept(
    plan: Plan,
    settings: SweepSettings,
    kit: JudgedKit,
    processes: int,
    cluster: str | None,
    keep: Path | None,
) -> SweepResult:
    from recommender.sweep.cluster import NoCluster
    from recommender.sweep.kits import UnfitKit
    from recommender.sweep.record import CannotResume
    from recommender.sweep.running import WorkersLost
    from recommender.sweep.running import sweep as run

    try:
        with _executor(cluster) as executor, shown_progress() as progress:
            return run(
                plan, settings, kit=kit, executor=executor, processes=processes, keep=keep, progress=progress
            )
    except (CannotResume, NoCluster, UnfitKit) as error:
        raise Refusal(str(error)) from error
    except WorkersLost as error:
        again = (
            "run the same command again to go on"
            if keep
            else "with --keep FILE no draw that was done is lost"
        )
        raise Failure(f"{error}; {again}") from error
    except OSError as error:
        if keep is None or error.filename is None:
            raise
        raise Refusal(f"can't keep the draws in {keep}: {error.strerror}") from error


@contextmanager
def _executor(cluster: str | None) -> Iterator[Executor | None]:
    """The cluster at an address, or none: the sweep then starts processes of its own."""
    if cluster is None:
        yield None
        return
    from recommender.sweep.cluster import cluster_executor

    with cluster_executor(cluster) as executor:
        yield executor


def _kit(plan: Plan, name: str) -> JudgedKit:
    """The kit to judge, told by a word or a file."""
    from pydantic import ValidationError

    from recommender.kit.result import KitResult
    from recommender.sweep.kits import NoKitToJudge, cheapest_kit, kit_of, owned_kit

    try:
        if name in ("plan", "owned"):
            return cheapest_kit(plan) if name == "plan" else owned_kit(plan)
        return kit_of(KitResult.model_validate_json(Path(name).read_bytes()), f"the kit in {Path(name).name}")
    except NoKitToJudge as error:
        say(f"{str(error)[0].upper()}{str(error)[1:]}.")
        click.get_current_context().exit(Ending.NO_KIT)
    except OSError as error:
        raise Refusal(
            f"can't read {name}: {error.strerror}; write plan, owned or the name of a file"
        ) from error
    except ValidationError as error:
        raise Refusal(f"{name} holds no kit as 'kitplan plan --json FILE' writes it") from error
