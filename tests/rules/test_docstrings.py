"""Public functions of the formulas say what they take and give, with units."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

from arrows import module_of, package_of, product_files

PACKAGES = ("recommender.wood", "recommender.physics", "recommender.ratings")
NUMBERS = ("Values", "Numbers", "float", "NDArray[np.float64]", "Floats")
REFERENCE = re.compile(r"\b(?:as in|as for|same arguments|arguments as)\b")
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}\n(.*?)(?=^\w[\w ]*\n-{3,}\n|\Z)", re.MULTILINE | re.DOTALL)
ENTRY = re.compile(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?: : .*)?\n((?:[ \t]+.*\n?|\n)+)", re.MULTILINE)
UNIT = re.compile(r"\[[^\]\n]+\]")


@dataclass(frozen=True)
class Documented:
    """A public function with its docstring taken apart."""

    name: str
    node: ast.FunctionDef
    text: str

    @property
    def arguments(self) -> dict[str, str]:
        """Parameters with their annotations."""
        given = self.node.args
        every = [
            *given.posonlyargs,
            *given.args,
            *given.kwonlyargs,
            *(one for one in (given.vararg, given.kwarg) if one),
        ]
        return {one.arg: ast.unparse(one.annotation) if one.annotation else "" for one in every}

    @property
    def returns(self) -> str:
        return ast.unparse(self.node.returns) if self.node.returns else ""

    def section(self, name: str) -> str:
        return next((text for head, text in SECTION.findall(self.text + "\n") if head == name), "")

    @property
    def parameters(self) -> dict[str, str]:
        """What the docstring says of each parameter."""
        entries = ENTRY.findall(self.section("Parameters"))
        return {name.strip(" *"): text for names, text in entries for name in names.split(",")}


def _public() -> Iterator[Documented]:
    for path in product_files():
        module = module_of(path)
        if package_of(module) in PACKAGES and not module.endswith(".domain"):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                    yield Documented(f"{module}.{node.name}", node, ast.get_docstring(node) or "")


FUNCTIONS = list(_public())
FORMULAS = [one for one in FUNCTIONS if one.returns in NUMBERS]


def test_there_is_something_to_look_at() -> None:
    assert len(FUNCTIONS) > 100
    assert len(FORMULAS) > 60


def test_every_public_function_has_a_docstring() -> None:
    assert [one.name for one in FUNCTIONS if not one.text] == []


def test_documented_parameters_are_the_real_ones() -> None:
    wrong = {one.name: set(one.parameters) - set(one.arguments) for one in FUNCTIONS}
    assert {name: strangers for name, strangers in wrong.items() if strangers} == {}


def test_every_parameter_is_documented() -> None:
    """Unless the docstring refers to a function that has the same ones."""
    missing = {
        one.name: set(one.arguments) - set(one.parameters)
        for one in FORMULAS
        if one.parameters or not REFERENCE.search(one.text)
    }
    assert {name: left_out for name, left_out in missing.items() if left_out} == {}


def test_numbers_taken_and_given_carry_units() -> None:
    without = [
        f"{one.name}: {name}"
        for one in FORMULAS
        for name, text in one.parameters.items()
        if one.arguments.get(name) in NUMBERS and not UNIT.search(text)
    ]
    without += [
        f"{one.name}: result" for one in FORMULAS if not UNIT.search(one.section("Returns") or one.text)
    ]
    assert without == []
