"""The shape of the code: who may know whom, what stands where, how long files and functions may be.

Who imports whom inside ``access`` is the work of import-linter, whose contracts stand in pyproject.toml; these tests
hold the contracts to what DEVELOPERS.md promises, and check what import-linter does not look at.
"""

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ACCESS = ROOT / "access"
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
CODE = {".py", ".ts", ".tsx", ".mjs", ".css", ".html"}
# Written by a program: migrations, and the types that follow from the schema of the API.
GENERATED = {ROOT / "frontend" / "data" / "contract.ts"}
MADE = {"node_modules", "dist", "migrations", "__pycache__"}
LONGEST_FILE, LONGEST_FUNCTION, USUAL_FUNCTION, USUAL_SHARE = 300, 60, 30, 0.9

BLOCKED = """
import importlib, pkgutil, sys

class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("django", "rest_framework"):
            raise ModuleNotFoundError("blocked: " + name)

sys.meta_path.insert(0, Blocked())
for package in ("access.measures", "access.drawing"):
    found = importlib.import_module(package)
    for module in pkgutil.walk_packages(found.__path__, package + "."):
        importlib.import_module(module.name)
        print(module.name)
"""


def sources(*folders: Path) -> list[Path]:
    """Every file of code under the folders that a person wrote."""
    files = (path for folder in folders for path in folder.rglob("*") if path.suffix in CODE and path.is_file())
    return sorted(path for path in files if not MADE & set(path.parts) and path not in GENERATED)


def python(*folders: Path) -> Iterator[tuple[Path, ast.Module]]:
    """Every Python file under the folders, parsed."""
    for path in sources(*folders):
        if path.suffix == ".py":
            yield path, ast.parse(path.read_text())


def imported(tree: ast.AST) -> set[str]:
    """The top names of what a module imports, whole names for what is the project's own."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    return {name if name.startswith("access") else name.split(".")[0] for name in names}


def test_the_computation_and_the_drawing_start_where_django_cannot_be_imported() -> None:
    answer = subprocess.run([sys.executable, "-c", BLOCKED], cwd=ROOT, capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stderr
    assert "access.measures.recirculation" in answer.stdout.splitlines()


@pytest.mark.parametrize("folder", ["measures", "drawing"])
def test_the_computation_stands_on_python_numpy_and_scipy_alone(folder: str) -> None:
    allowed = sys.stdlib_module_names | {"numpy", "scipy"}
    for path, tree in python(ACCESS / folder):
        strangers = {
            name for name in imported(tree) - allowed if not name.startswith(("access.measures", "access.draw"))
        }
        assert not strangers, f"{path.relative_to(ROOT)} imports {strangers}"


def test_the_set_up_stands_on_the_standard_library_alone() -> None:
    tree = ast.parse((ACCESS / "bootstrap.py").read_text())
    assert imported(tree) <= sys.stdlib_module_names


def test_the_settings_know_of_the_program_only_the_set_up() -> None:
    tree = ast.parse((ACCESS / "settings.py").read_text())
    assert {name for name in imported(tree) if name.startswith("access")} == {"access.bootstrap"}


def test_the_contracts_hold_for_every_package_and_without_exemptions() -> None:
    contracts = PYPROJECT["tool"]["importlinter"]["contracts"]
    assert not any("ignore" in key for contract in contracts for key in contract if key != "exhaustive_ignores")
    layers = next(contract for contract in contracts if contract["type"] == "layers")
    assert layers["exhaustive"] is True
    assert layers["exhaustive_ignores"] == ["settings", "bootstrap"]


def test_every_import_stands_at_the_top_of_its_file() -> None:
    for path, tree in python(ACCESS, ROOT / "tests"):
        top = set(tree.body)
        indented = [n.lineno for n in ast.walk(tree) if isinstance(n, ast.Import | ast.ImportFrom) and n not in top]
        assert not indented, f"{path.relative_to(ROOT)}, lines {indented}"


def test_nothing_is_called_utils_or_helpers() -> None:
    names = {path.stem for path in (*sources(ACCESS, ROOT / "frontend"), *ACCESS.rglob("*/"))}
    assert not names & {"utils", "helpers", "services", "managers", "common"}


def test_every_python_file_says_what_it_is_for() -> None:
    for path, tree in python(ACCESS, ROOT / "tests"):
        assert not tree.body or ast.get_docstring(tree), f"{path.relative_to(ROOT)} has no opening docstring"


def test_no_file_is_longer_than_a_person_reads_at_once() -> None:
    lengths = {path: len(path.read_text().splitlines()) for path in sources(ACCESS, ROOT / "frontend", ROOT / "tests")}
    too_long = {str(path.relative_to(ROOT)): lines for path, lines in lengths.items() if lines > LONGEST_FILE}
    assert not too_long


def own_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """The lines of a function without its docstring, which in the computation is as long as the formula needs."""
    first, last = function.body[0], function.body[-1]
    documented = ast.get_docstring(function) is not None
    described = (first.end_lineno or 0) - first.lineno + 1 if documented else 0
    return (last.end_lineno or 0) - function.lineno + 1 - described


def test_functions_are_short() -> None:
    lengths = {
        f"{path.relative_to(ROOT)}:{node.name}": own_lines(node)
        for path, tree in python(ACCESS, ROOT / "tests")
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    assert not {name: lines for name, lines in lengths.items() if lines > LONGEST_FUNCTION}
    usual = sum(lines <= USUAL_FUNCTION for lines in lengths.values())
    assert usual >= USUAL_SHARE * len(lengths)


def test_the_top_level_holds_what_the_map_names_and_nothing_else() -> None:
    named = {"README.md", "DEVELOPERS.md", "pyproject.toml", "manage.py", "access", "frontend", "tests", "fixtures"}
    # Python's own cache appears wherever a module at the top is imported.
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - {"__pycache__"}
    assert found == named


def test_tests_mirror_the_package_path_for_path() -> None:
    beside = {"architecture", "docs", "demo"}  # What concerns the whole project rather than one module.
    free = {"browser", "bench", "journeys"}
    for path in (ROOT / "tests").rglob("test_*.py"):
        place = path.relative_to(ROOT / "tests")
        if place.parts[0] in free or (len(place.parts) == 1 and place.stem.removeprefix("test_") in beside):
            continue
        package = ACCESS.joinpath(*place.parts[:-1])
        assert package.is_dir(), f"{place} mirrors no folder of access/"
