"""A planned kit as workbooks: the order list with totals that follow the buyer, and the full plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from catalog_schema.units import UnitSystem
from catalog_schema.writing import Written, table_of
from recommender.explain.answers import FirstResult, WhyResult
from recommender.explain.crews import by_crew
from recommender.files.assumptions import policy_table, settings_table, sources_table
from recommender.files.buying_tables import first_table, season_sums_table, season_work_table, seasons_table
from recommender.files.kit_tables import (
    holding_table,
    items_table,
    lives_table,
    loads_table,
    rigged_table,
    uncovered_table,
    utilisation_table,
)
from recommender.files.order_list import COVERED_BY, OrderGroup, order_groups, proof, who_holds
from recommender.files.reasons_tables import items_why_table, jobs_why_table
from recommender.files.sheets import (
    EDIT,
    PALE,
    Formulas,
    add_data_sheet,
    add_sheet,
    put,
    saved,
    set_up_print,
    shade_utilisation,
    write_headings,
)
from recommender.files.tables import (
    Cell,
    Heading,
    Table,
    count,
    figure,
    price,
    texts,
    with_currency,
    with_unit,
)
from recommender.kit.result import KitResult
from recommender.report.figures import mass, money
from recommender.seasons.result import SeasonsResult
from recommender.work.plan import Plan
from recommender.work.tables import JobType

ORDER = "order list"
CHANGE = "Change pieces and prices in the yellow cells: the totals follow. "
PIECES, PLANNED, EACH, TOGETHER, MASS_EACH, MASS = "B", "C", "G", "H", "I", "J"
MONEY, WEIGHT = "#,##0.00", "#,##0.00"


def order_workbook(result: KitResult, plan: Plan, system: UnitSystem) -> bytes:
    """The order list as a workbook of its own.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}
        Units, and the paper: A4 or Letter.

    Returns
    -------
    bytes
        An XLSX file; the only formulas in it are totals.
    """
    book = _new_book()
    formulas = _order_sheet(book, result, plan, system)
    add_sheet(book, "cautions", _cautions(result), system, plan.settings.name)
    return saved(book, {ORDER: formulas})


def plan_workbook(
    result: KitResult,
    plan: Plan,
    system: UnitSystem,
    *,
    why: WhyResult | None = None,
    seasons: SeasonsResult | None = None,
    first: FirstResult | None = None,
) -> bytes:
    """The whole plan as a workbook: a sheet for each part of it.

    The sheets of the work, of what is owned and of the catalogue can be read again as they are.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}
        Units, and the paper: A4 or Letter.
    why : WhyResult, optional
        Reasons for each item, for two sheets more.
    seasons : SeasonsResult, optional
        The plan over seasons, for three sheets more.
    first : FirstResult, optional
        What to buy first, for one sheet more.

    Returns
    -------
    bytes
        An XLSX file; the only formulas in it are totals.
    """
    book, name = _new_book(), plan.settings.name
    formulas, every = _order_sheet(book, result, plan, system), by_crew(plan, result)
    for sheet_name, table in [
        *_tables_of(result, every, plan, system, why),
        *_buying(seasons, first),
        *_basis(every, plan, system),
    ]:
        sheet = add_sheet(book, sheet_name, table, system, name)
        if sheet_name == "utilisation":
            shade_utilisation(sheet, table)
    for sheet_name, rows in _data_of(plan, system):
        add_data_sheet(book, sheet_name, rows, system)
    add_sheet(book, "cautions", _cautions(result), system, name)
    return saved(book, {ORDER: formulas})


def _new_book() -> Any:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    book.calculation.fullCalcOnLoad = True
    return book


def _tables_of(
    result: KitResult, every: KitResult, plan: Plan, system: UnitSystem, why: WhyResult | None
) -> Iterator[tuple[str, Table]]:
    yield "summary", _summary(result, plan, system)
    if result.uncovered:
        yield "not covered", uncovered_table(result)
    if result.items:
        yield "kit", items_table(every, system)
        yield "rigged with", rigged_table(every)
        yield "loads", loads_table(result, system)
        yield "utilisation", utilisation_table(every)
        yield "wraps on the brake", holding_table(every)
        yield "lives", lives_table(result)
    if why is not None:
        yield "why these items", items_why_table(why)
        yield "what jobs add", jobs_why_table(why)


def _buying(seasons: SeasonsResult | None, first: FirstResult | None) -> Iterator[tuple[str, Table]]:
    if seasons is not None:
        yield "cost by season", season_sums_table(seasons)
        yield "purchases by season", seasons_table(seasons)
        yield "work by season", season_work_table(seasons)
    if first is not None:
        yield "first purchases", first_table(first)


def _basis(result: KitResult, plan: Plan, system: UnitSystem) -> Iterator[tuple[str, Table]]:
    yield "settings", settings_table(plan, system)
    yield "policy", policy_table(plan.policy, system)
    yield "sources", sources_table(plan)
    notes = tuple(texts(note) for note in result.notes)
    yield "notes", Table("Notes", (Heading("what was taken for granted, changed or left out", 120),), notes)


def _data_of(plan: Plan, system: UnitSystem) -> Iterator[tuple[str, list[list[Written]]]]:
    yield "work", table_of(plan.jobs, system, JobType)
    others = {"owned": plan.owned, "seasons": plan.seasons, "season_work": plan.season_work}
    for name, rows in {**others, **plan.catalogue.tables()}.items():
        if rows:
            yield name, table_of(rows, system)


def _summary(result: KitResult, plan: Plan, system: UnitSystem) -> Table:
    rows = [
        texts("result", result.status),
        (Cell(with_currency("total to buy", result.currency)), price(result.purchase_cost)),
        (Cell(with_currency("no kit costs less than", result.currency)), price(result.bound)),
        texts("is it the cheapest?", proof(result)),
        (Cell(with_unit("mass of the kit, dry", "mass", system)), figure(mass(result.mass_kg, system))),
        (Cell("job types"), count(len(result.assignments) + len(result.uncovered))),
        texts("who holds it", who_holds(result, plan)),
        texts("solver", f"{result.solver}, {result.solve_seconds:.2f} s, gap {100 * result.gap:.1f} %"),
        texts("notice", result.notice),
    ]
    if not result.items:
        rows = [rows[0], rows[5], rows[-1]]
    shown = tuple(row for row in rows if row[1].text)
    return Table("Summary", (Heading("what", 34), Heading("figure", 80)), shown)


def _cautions(result: KitResult) -> Table:
    headings = (Heading("read before the gear is used", 120),)
    return Table("Cautions", headings, tuple(texts(caution) for caution in result.cautions))


def _order_sheet(book: Any, result: KitResult, plan: Plan, system: UnitSystem) -> Formulas:
    """The order list; its formulas are given back, to be written with their results."""
    from openpyxl.styles import Alignment, Font

    sheet = book.create_sheet(ORDER)
    table = _order_headings(result.currency, system)
    groups = order_groups(result, plan, system)
    put(sheet["A1"], Cell(f"Order list: {plan.settings.name}"))
    sheet["A1"].font = Font(bold=True, size=14)
    put(sheet["A2"], Cell(CHANGE + COVERED_BY if groups else _nothing(result)))
    heavy = who_holds(result, plan)
    put(sheet["A3"], Cell(f"{result.notice} {heavy}".strip()))
    for row in (2, 3):
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=len(table.headings))
        sheet.cell(row, 1).alignment = Alignment(wrap_text=True, vertical="top")
    sheet.row_dimensions[2].height = 30
    sheet.row_dimensions[3].height = 45 if heavy else None
    write_headings(sheet, 4, table)
    sheet.freeze_panes = "A5"
    set_up_print(sheet, system, title_row=4)
    return _groups(sheet, groups, result, table)


def _nothing(result: KitResult) -> str:
    return f"There is nothing to order: {result.status}."


def _order_headings(currency: str, system: UnitSystem) -> Table:
    headings = (
        Heading("got", 5), Heading("pieces", 7, True), Heading("planned", 8, True), Heading("item", 32),
        Heading("what to ask for", 58), Heading("id", 14), Heading(with_currency("each", currency), 12, True),
        Heading(with_currency("together", currency), 13, True),
        Heading(with_unit("mass each", "mass", system), 11, True),
        Heading(with_unit("mass", "mass", system), 11, True),
    )  # fmt: skip
    return Table("Order list", headings, ())


def _groups(sheet: Any, groups: tuple[OrderGroup, ...], result: KitResult, table: Table) -> Formulas:
    from openpyxl.styles import Font

    formulas: Formulas = {}
    bought: list[int] = []
    sums: list[int] = []
    row = 5
    for group in groups:
        put(sheet.cell(row, 1), Cell(group.title))
        sheet.cell(row, 1).font = Font(bold=True, size=12)
        first, row = row + 1, row + 1 + len(group.lines)
        _lines(sheet, first, group, formulas)
        formulas[f"{MASS}{row}"] = (f"=SUM({MASS}{first}:{MASS}{row - 1})", group.mass)
        if group.is_bought:
            formulas[f"{TOGETHER}{row}"] = (f"=SUM({TOGETHER}{first}:{TOGETHER}{row - 1})", group.price)
            bought.append(row)
        _total(sheet, row, f"{group.title}, together")
        sums.append(row)
        row += 2
    if bought:
        price = sum(one.price for one in groups if one.is_bought)
        formulas[f"{TOGETHER}{row}"] = (_added(TOGETHER, bought), price)
        formulas[f"{MASS}{row}"] = (_added(MASS, sums), sum(one.mass for one in groups))
        planned = f"as planned: {money(result.purchase_cost, result.currency)}"
        _total(sheet, row, f"Total to buy ({planned}), and mass of the whole kit")
    if groups:
        sheet.print_area = f"A1:{MASS}{row}"
    return formulas


def _added(letter: str, rows: Sequence[int]) -> str:
    return "=" + "+".join(f"{letter}{row}" for row in rows)


def _lines(sheet: Any, first: int, group: OrderGroup, formulas: Formulas) -> None:
    from openpyxl.styles import Alignment, Border, PatternFill, Side

    thin, box = Border(bottom=Side("thin", color="B9C2BC")), Side("thin", color="555555")
    for row, line in enumerate(group.lines, start=first):
        cells = [Cell(""), count(line.pieces), count(line.pieces), *texts(line.name, line.asked_for, line.id)]
        if group.is_bought:
            cells += [price(line.unit_price), Cell("")]
            formulas[f"{TOGETHER}{row}"] = (f"={PIECES}{row}*{EACH}{row}", line.pieces * line.unit_price)
        else:
            cells += [Cell(""), Cell("")]
        formulas[f"{MASS}{row}"] = (f"={PIECES}{row}*{MASS_EACH}{row}", line.pieces * line.mass_each)
        cells += [Cell(f"{line.mass_each:g}", line.mass_each, WEIGHT), Cell("")]
        sheet[f"{TOGETHER}{row}"].number_format, sheet[f"{MASS}{row}"].number_format = MONEY, WEIGHT
        for place, value in enumerate(cells, start=1):
            cell = sheet.cell(row, place)
            put(cell, value)
            cell.border = thin
            side = "left" if place in (4, 5, 6) else None
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal=side)
        sheet.cell(row, 1).border = Border(box, box, box, box)
        for letter in (PIECES, EACH) if group.is_bought else ():
            sheet[f"{letter}{row}"].fill = PatternFill("solid", fgColor=EDIT)
    if group.is_bought:
        _guard(sheet, first, first + len(group.lines) - 1)


def _guard(sheet: Any, first: int, last: int) -> None:
    """Only sound numbers may be typed, and fewer pieces than planned are marked."""
    from openpyxl.formatting.rule import FormulaRule
    from openpyxl.styles import Font, PatternFill
    from openpyxl.worksheet.datavalidation import DataValidation

    whole = DataValidation("whole", formula1="0", operator="greaterThanOrEqual", showErrorMessage=True)
    amount = DataValidation("decimal", formula1="0", operator="greaterThanOrEqual", showErrorMessage=True)
    whole.error, amount.error = "Write a whole number of pieces", "Write a price of 0 or more"
    for check, letter in ((whole, PIECES), (amount, EACH)):
        check.add(f"{letter}{first}:{letter}{last}")
        sheet.add_data_validation(check)
    fewer = FormulaRule([f"${PIECES}{first}<${PLANNED}{first}"], font=Font(bold=True, color="9C1C0A"),
                        fill=PatternFill(bgColor="F6C9BE"))  # fmt: skip
    sheet.conditional_formatting.add(f"{PIECES}{first}:{PLANNED}{last}", fewer)


def _total(sheet: Any, row: int, title: str) -> None:
    from openpyxl.styles import Border, Font, PatternFill, Side

    put(sheet.cell(row, 4), Cell(title))
    for place in range(1, 11):
        cell = sheet.cell(row, place)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor=PALE)
        cell.border = Border(top=Side("thin", color="555555"))
    sheet[f"{TOGETHER}{row}"].number_format, sheet[f"{MASS}{row}"].number_format = MONEY, WEIGHT
