"""Public functions say what they take, with two arguments or more, and what they raise.

Format: numpydoc's docstring standard, sections Parameters and Raises.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

from sources import tree_of

ROOT = Path(__file__).parents[1] / "resale"
DOORS = frozenset({"get", "post", "route", "command", "group"})
"""Decorators of what is called from outside alone."""


def public(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """Functions of a module, and methods of its classes, whose names begin with no underscore."""
    for node in tree.body:
        for one in node.body if isinstance(node, ast.ClassDef) else (node,):
            outside = isinstance(node, ast.ClassDef) and node.name.startswith("_")
            if isinstance(one, ast.FunctionDef) and not (
                outside or one.name.startswith("_") or is_door(one)
            ):
                yield one


def is_door(one: ast.FunctionDef) -> bool:
    """Whether it is called from outside alone: a route, an address of the API, or a command.

    What it takes is said where people see it: in the address, and in the help of each option.
    Its docstring is shown to them as it stands, so a list of arguments in it would be shown too.
    """
    called = (node.func if isinstance(node, ast.Call) else node for node in one.decorator_list)
    return any(isinstance(by, ast.Attribute) and by.attr in DOORS for by in called)


def without_parameters(source: str) -> list[str]:
    """Functions of two arguments or more whose docstring has no section Parameters."""
    found = []
    for one in public(tree_of(source)):
        given = (*one.args.posonlyargs, *one.args.args, *one.args.kwonlyargs)
        names = [arg.arg for arg in given if arg.arg not in {"self", "cls"}]
        said = ast.get_docstring(one) or ""
        if len(names) > 1 and "Parameters\n----------\n" not in said:
            found.append(one.name)
    return found


def raises(one: ast.FunctionDef) -> bool:
    """Whether a line of the function's own raises something that it names."""
    left: list[ast.AST] = [*one.body]
    while left:
        node = left.pop()
        if isinstance(node, ast.Raise) and node.exc is not None:
            return True
        # What stands inside another function is raised by that one.
        if not isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Lambda):
            left.extend(ast.iter_child_nodes(node))
    return False


def without_raises(source: str) -> list[str]:
    """Functions that raise and whose docstring has no section Raises."""
    return [
        one.name
        for one in public(tree_of(source))
        if raises(one) and "Raises\n------\n" not in (ast.get_docstring(one) or "")
    ]


def lacking(found: Callable[[str], list[str]]) -> dict[str, list[str]]:
    """What is found lacking, by file."""
    files = sorted(ROOT.rglob("*.py"))
    assert len(files) > 1
    told = {one.relative_to(ROOT).as_posix(): found(one.read_text("utf-8")) for one in files}
    return {name: some for name, some in told.items() if some}


def test_public_functions_say_what_they_take() -> None:
    assert lacking(without_parameters) == {}


def test_public_functions_say_what_they_raise() -> None:
    assert lacking(without_raises) == {}


def test_a_function_that_says_nothing_is_found() -> None:
    documented = (
        'def f(a, b):\n    """One.\n\n    Parameters\n    ----------\n    a, b : int\n    """'
    )
    door = 'def f(a, b):\n    """Show."""'
    silent = 'class A:\n    def g(self, a, b):\n        """Two."""'
    assert without_parameters(documented) == []
    assert without_parameters(silent) == ["g"]
    assert without_parameters(f"@screen.get('/x/<a>/<b>')\n{door}") == []
    assert without_parameters(f"@guarded('lead')\n{door}") == ["f"]
    assert without_parameters("def _own(a, b): ...") == without_parameters("def h(a): ...") == []


def test_a_function_that_raises_without_a_word_is_found() -> None:
    silent = (
        'class A:\n    def f(self):\n        """One."""\n        if self:\n            raise No()'
    )
    said = '    """One.\n\n    Raises\n    ------\n    No\n    """'
    assert without_raises(silent) == ["f"]
    assert without_raises(f"def f(a):\n{said}\n    raise No()") == []
    inner = "    def g(): raise No()\n    try: g()\n    except No: raise"
    assert without_raises(f'def f(a):\n    """One."""\n{inner}') == []
