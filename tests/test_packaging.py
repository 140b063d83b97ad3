"""The wheel holds every data file of the checkout, and every module."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def listed(*folders: str) -> set[str]:
    """What git keeps of some folders."""
    done = subprocess.run(
        ["git", "-C", str(ROOT), "ls-files", *folders], check=True, capture_output=True, text=True
    )
    return set(done.stdout.split("\n")) - {""}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)],
        check=True,
        capture_output=True,
        cwd=folder,
    )
    (path,) = folder.glob("*.whl")
    with zipfile.ZipFile(path) as opened:
        return opened


def test_the_wheel_holds_the_data_of_the_checkout(wheel: zipfile.ZipFile) -> None:
    inside = "generator/_data/"
    data = {name.removeprefix(inside) for name in wheel.namelist() if name.startswith(inside)}
    # Pictures for the README are no part of the program.
    assert data == listed("templates", "shared") - listed("shared/pictures")
    assert {"shared/forms.toml", "shared/instruments.toml"} <= data


def test_the_wheel_holds_every_module_and_no_test(wheel: zipfile.ZipFile) -> None:
    names = set(wheel.namelist())
    assert listed("generator") <= names
    others = {n.split("/")[0] for n in names} - {"generator"}
    assert {n.split(".")[-1] for n in others} == {"dist-info"}


def test_the_wheel_says_how_to_start_the_program(wheel: zipfile.ZipFile) -> None:
    entry = next(i.filename for i in wheel.infolist() if i.filename.endswith("entry_points.txt"))
    assert entry
    metadata = next(i.filename for i in wheel.infolist() if i.filename.endswith("METADATA"))
    assert metadata.startswith("scalewright-")
