"""The worked examples in the docstrings of `diagnose.water` run, and every function has one."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from types import FunctionType, ModuleType

import pytest

import diagnose.water

MODULES = [
    importlib.import_module(f"diagnose.water.{module.name}")
    for module in pkgutil.iter_modules(diagnose.water.__path__)
]


def formulas() -> Iterator[FunctionType]:
    for module in MODULES:
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                yield function


FORMULAS = list(formulas())


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_of_a_module_come_out_as_written(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("function", FORMULAS, ids=lambda f: f"{f.__module__}.{f.__name__}")
def test_every_formula_shows_an_example_and_names_its_units(function: FunctionType) -> None:
    text = inspect.getdoc(function) or ""
    for heading in ("Parameters\n", "Examples\n", ">>> "):
        assert heading in text, f"{function.__name__} has no {heading.strip()}"


def test_no_heavy_library_comes_in_with_the_formulas() -> None:
    for module in MODULES:
        for name in ("numpy", "scipy", "pint"):
            assert not hasattr(module, name)
