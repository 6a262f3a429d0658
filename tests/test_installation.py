"""The program finds its profiles, schemas and templates however it came onto the machine.

A checkout has its data folders beside the package, a wheel has them inside it. Each way is run
from a folder that is neither.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

import setupsheets

ROOT = Path(__file__).resolve().parent.parent
DATA = ("profiles", "schemas", "examples")


@dataclass(frozen=True)
class Installed:
    """One way of having the program: what to put on the path, where package and data must lie."""

    path: Path | None
    package: Path
    data: Path

    def run(self, *arguments: str, cwd: Path) -> str:
        """Output of Python run with this installation and no other."""
        kept = os.environ.keys() - {"PYTHONPATH", "PYTHONDONTWRITEBYTECODE"}
        clean = {name: os.environ[name] for name in kept}
        env = clean if self.path is None else {**clean, "PYTHONPATH": str(self.path)}
        done = subprocess.run(
            [sys.executable, *arguments],
            cwd=cwd,
            env=env,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built by the back end of pyproject.toml with nothing fetched."""
    folder = tmp_path_factory.mktemp("wheel")
    code = "import sys; from hatchling.build import build_wheel; print(build_wheel(sys.argv[1]))"
    built = subprocess.run(
        [sys.executable, "-c", code, folder], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return folder / built.stdout.strip()


@pytest.fixture(scope="session")
def from_wheel(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    target = tmp_path_factory.mktemp("installed")
    options = ["--no-index", "--no-deps", "--no-compile", "--quiet", "--disable-pip-version-check"]
    subprocess.run(
        [sys.executable, "-m", "pip", "install", *options, "--target", target, wheel], check=True
    )
    return Installed(target, target / "setupsheets", target / "setupsheets")


@pytest.fixture(scope="session")
def from_checkout(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """A copy of the checkout, so that the one the tests run from cannot stand in for it; compiled
    as it lies here."""
    copy = tmp_path_factory.mktemp("checkout")
    for name in ("setupsheets", *DATA):
        shutil.copytree(ROOT / name, copy / name)
    return Installed(copy, copy / "setupsheets", copy)


@pytest.fixture(scope="session")
def editable() -> Installed:
    """The installation that runs the tests themselves."""
    return Installed(None, ROOT / "setupsheets", ROOT)


@pytest.mark.parametrize("way", ["from_wheel", "from_checkout", "editable"])
def test_runs_from_a_foreign_folder(
    way: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    installed: Installed = request.getfixturevalue(way)
    where = installed.run("-c", "import setupsheets; print(setupsheets.__file__)", cwd=tmp_path)
    assert Path(where.strip()).parent == installed.package

    def program(*arguments: str) -> str:
        return installed.run("-m", "setupsheets", *arguments, cwd=tmp_path)

    program("begin", "shop")
    assert_lists_built_in(program, installed.data / "profiles")


def assert_lists_built_in(program: Callable[..., str], profiles: Path) -> None:
    listed = json.loads(program("list", "recipes", "--shop", "shop", "--json"))["things"]
    expected = {path.stem for path in (ROOT / "profiles" / "recipes").glob("*.yaml")}
    assert expected and expected == {item["name"] for item in listed}
    assert {Path(item["path"]).parent for item in listed} == {profiles / "recipes"}


def ship(path: Path) -> bool:
    """Whether a file of the data folders ships: not what the program wrote beside an example."""
    return path.suffix in {".yaml", ".json"}


def but_for_editors(text: str) -> str:
    """A file without the line that leads an editor to its schema, which `begin` puts before it."""
    return re.sub(r"\A# yaml-language-server: [^\n]*\n", "", text)


def test_an_example_is_begun_and_printed_from_a_wheel(
    from_wheel: Installed, tmp_path: Path
) -> None:
    name = "vestibule"
    from_wheel.run("-m", "setupsheets", "begin", "mine", "--example", name, cwd=tmp_path)
    of_example, begun = (
        {
            path.relative_to(folder): but_for_editors(path.read_text("utf-8"))
            for path in folder.rglob("*.yaml")
        }
        for folder in (ROOT / "examples" / name, tmp_path / "mine")
    )
    assert begun == of_example and len(begun) > 5
    listed = from_wheel.run(
        "-m", "setupsheets", "list", "records", "--json", "--shop", "mine", cwd=tmp_path
    )
    assert json.loads(listed)["things"]
    from_wheel.run("-m", "setupsheets", "sheet", f"mine/jobs/{name}.yaml", cwd=tmp_path)
    assert (tmp_path / "mine" / "sheets" / f"{name}.html").is_file()


def test_the_package_is_typed_and_says_what_it_may_be_used_for(from_wheel: Installed) -> None:
    assert (from_wheel.package / "py.typed").is_file()
    (told,) = from_wheel.package.parent.glob("setupsheets-*.dist-info/METADATA")
    fields = told.read_text("utf-8").split("\n\n")[0].splitlines()
    licence = next(line.split(": ")[1] for line in fields if line.startswith("License-Expression"))
    assert f"licence: {licence}" in (ROOT / "README.md").read_text("utf-8")
    assert "Author: the setupsheets developers" in fields
    assert not [line for line in fields if line.startswith(("Project-URL", "Home-page"))]


def test_the_guide_says_what_changed_in_this_version() -> None:
    assert f"| {setupsheets.__version__} |" in (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_wheel_holds_the_data_and_nothing_of_the_workbench(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    beside = [path for folder in DATA for path in (ROOT / folder).rglob("*.*") if ship(path)]
    assert {f"setupsheets/{path.relative_to(ROOT).as_posix()}" for path in beside} <= held
    templates = (ROOT / "setupsheets" / "sheets" / "pages" / "templates").iterdir()
    assert {path.relative_to(ROOT).as_posix() for path in templates if path.is_file()} <= held
    top = {name.split("/")[0] for name in held}
    assert top == {"setupsheets", f"setupsheets-{setupsheets.__version__}.dist-info"}
    assert not [name for name in held if "__pycache__" in name]


def test_installed_program_has_its_name_and_version(from_wheel: Installed, tmp_path: Path) -> None:
    assert from_wheel.path is not None
    script = from_wheel.path / "bin" / "setupsheets"
    assert from_wheel.run(str(script), "--version", cwd=tmp_path).strip() == setupsheets.__version__
