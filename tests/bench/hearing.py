#!/usr/bin/env python3
"""Measure hearing: shoplog against plain faster-whisper with its defaults, on the same sound in the same run.

    python tests/bench/hearing.py                 # about ten minutes on two cores; prints the tables as Markdown
    python tests/bench/hearing.py --narrations n01 n02 n03 --noise-minutes 60
    python tests/bench/hearing.py --only session  # one of: talk noise session memory
    python tests/bench/hearing.py --human FOLDER  # readings: NAME.wav (or .mp3) beside NAME.txt

Needs `pip install hibari-tts jiwer whisper-normalizer`; the voices and the noise are those of fixtures/make.py. Both
hear with the same weights and threads, each in a process of its own (plain in float32, which is its default on a
processor); times are without loading the weights. Figures of time and memory hold only on a machine that does nothing
else.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
import time
import wave
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
REPOSITORY = HERE.parents[1]
RATE = 16_000
SPEECH = 0.08  # active level of the voice, full scale 1
SNRS: tuple[float | None, ...] = (None, 20, 10, 5, 0)
SCENES = ("idle", "idle", "idle", "cut", "rough", "sand")
WORK = ("cut", "rough", "hollow", "sand", "collector", "idle")


# ------------------------------------------------------------------------------------------------ sound


def spoken(narrations: list[str], cache: Path) -> list[dict[str, Any]]:
    """The lines of some narrations with their facts and their sound, two voices in turn."""
    sys.path.insert(0, str(REPOSITORY / "fixtures"))
    import make

    voices, lines = None, []
    for name in narrations:
        narration = json.loads((REPOSITORY / "tests" / "narrations" / f"{name}.json").read_text())
        for i, line in enumerate(narration["lines"]):
            path = cache / f"{name}-{i}.npy"
            if not path.exists():
                voices = voices or make.Voices()
                voice = "tess" if i // 12 % 2 == 0 else "ivor"
                sound = make.trim(voices.say(voice, line["say"], make.seed_of(name, i)))
                sound = np.interp(np.arange(0, len(sound), make.RATE / RATE), np.arange(len(sound)), sound)
                np.save(path, (sound * SPEECH / make.active_level(sound)).astype(np.float32))
            lines.append({**line, "sound": np.load(path), "started": narration["started"]})
    return lines


def noise(random: np.random.Generator, name: str, count: int) -> np.ndarray:
    sys.path.insert(0, str(REPOSITORY / "fixtures"))
    from shopnoise import scene

    return np.asarray(scene(random, name, count, RATE, float(random.uniform(300, 2200))))


def mixed(
    lines: list[dict[str, Any]], snr: float | None, seed: int, noise_share: float = 0.0
) -> tuple[np.ndarray, list[dict[str, Any]]]:
    """Lines in the shop, and their true times. ``noise_share`` of the whole is machine without speech, 6 dB louder."""
    random = np.random.default_rng(seed)
    gain = 0.0 if snr is None else SPEECH * 10 ** (-snr / 20)
    talk = sum(len(line["sound"]) for line in lines) / RATE
    silent = talk * noise_share / (1 - noise_share) if noise_share else 0.0
    stretches = random.dirichlet(np.ones(4) * 6) * max(0.0, silent - 1.5 * len(lines)) if noise_share else []
    after = dict(zip(random.permutation(len(lines))[: len(stretches)].tolist(), stretches, strict=False))
    pieces, truth, at = [noise(random, "idle", RATE) * gain], [], 1.0
    for i, line in enumerate(lines):
        sound, pause = line["sound"], float(random.uniform(0.6, 2.5))
        under = noise(random, str(random.choice(SCENES)), len(sound) + int(pause * RATE)) * gain
        under[: len(sound)] += sound
        truth.append({"say": line["say"], "facts": line["facts"], "start": at, "end": at + len(sound) / RATE})
        pieces.append(under)
        at += len(under) / RATE
        left = after.get(i, 0.0)
        while left > 0.5:
            some = min(left, float(random.uniform(8, 45)))
            pieces.append(noise(random, str(random.choice(WORK)), int(some * RATE)) * gain * 2)
            at, left = at + len(pieces[-1]) / RATE, left - some
    whole = np.concatenate(pieces)
    whole += 1e-4 * random.standard_normal(len(whole))
    return np.clip(whole, -0.98, 0.98).astype(np.float32), truth


def machine_only(minutes: float, seed: int) -> np.ndarray:
    random, pieces, left = np.random.default_rng(seed), [], int(minutes * 60 * RATE)
    while left > 0:
        count = min(left, int(random.uniform(8, 45) * RATE))
        pieces.append(
            noise(random, str(random.choice([*WORK, "off"])), count) * SPEECH * float(random.uniform(0.3, 1.5))
        )
        left -= count
    return np.clip(np.concatenate(pieces), -0.98, 0.98).astype(np.float32)


def save(path: Path, sound: np.ndarray) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((sound * 32767).astype("<i2").tobytes())
    return path


# ------------------------------------------------------------------------------------------------ jobs (own process)


def job(system: str, path: str, model: str | None, started: str) -> dict[str, Any]:
    """Hear one file with one system and read its facts; run in a process of its own."""
    from datetime import datetime

    from shoplog.extract import extract
    from shoplog.log import DOUBT
    from shoplog.transcript import Cue, Transcript, Word

    wall = cpu = again = 0.0
    second: list[Any] = []
    if system == "plain":
        from faster_whisper import WhisperModel

        from shoplog.speech.recogniser import threads
        from shoplog.speech.weights import find_weights

        whisper = WhisperModel(str(find_weights(model)), device="cpu", cpu_threads=threads())
        wall, cpu = time.perf_counter(), time.process_time()
        segments = list(whisper.transcribe(path, word_timestamps=True)[0])
        wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
        cues = []
        for s in segments:
            words = tuple(
                Word(w.word.strip(), float(w.start), float(w.end), float(w.probability)) for w in s.words or ()
            )
            cues.append(Cue(float(s.start), float(s.end), s.text.strip(), words))
        transcript = Transcript(tuple(cues), "heard")
        facts = extract(transcript, (), datetime.fromisoformat(started))
        machine = 0.0
    else:
        from shoplog.media import decode
        from shoplog.speech import hear
        from shoplog.speech.recogniser import recogniser
        from shoplog.speech.second import compared, doubtful_windows, hear_again
        from shoplog.speech.stretches import machine_seconds
        from shoplog.speech.weights import find_weights

        recogniser(find_weights(model))
        wall, cpu = time.perf_counter(), time.process_time()
        with decode(path) as sound:
            transcript = hear(sound, model=model)
            wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
            facts = extract(transcript.kept, (), datetime.fromisoformat(started))
            if system == "twice":
                again = time.process_time()
                windows = doubtful_windows(facts, transcript)
                heard = hear_again(sound, windows, model=model)
                facts = compared(facts, windows, heard, lambda t: extract(t, (), datetime.fromisoformat(started)))
                again = time.process_time() - again
                second = [[w.start, w.end, list(w.facts), *h] for w, h in zip(windows, map(texts, heard), strict=True)]
        machine = machine_seconds(transcript.stretches)
    return {
        "cues": [[c.start, c.end, c.text, c.trust, *texts(c.words)] for c in transcript.cues],
        "second": second,
        "facts": [{**f.as_json(), "doubtful": f.confidence < DOUBT or bool(f.attrs.get("doubt"))} for f in facts],
        "unclear": sum(s.kind == "unclear" for s in transcript.stretches),
        "machine": machine,
        "wall": wall,
        "cpu": cpu,
        "again": again,
        "peak": peak_megabytes(),
    }


def peak_megabytes() -> float:
    """The most memory that this process had. What `getrusage` tells begins with its parent's at the fork."""
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def texts(words: Any) -> list[Any]:
    return [[[w.text, w.start, w.end, w.probability] for w in words]]


def run(system: str, path: Path, model: str | None, started: str = "2026-01-01T09:00") -> dict[str, Any]:
    command = [sys.executable, __file__, "--job", system, str(path), started, *(["--model", model] if model else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env={**os.environ})
    result: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    result["dropped"] = [c for c in result["cues"] if c[3] == "dropped"]
    result["cues"] = [c for c in result["cues"] if c[3] != "dropped"]
    return result


# ------------------------------------------------------------------------------------------------ scores


def normal(text: str) -> str:
    from whisper_normalizer.english import EnglishTextNormalizer

    return str(EnglishTextNormalizer()(text))


def number_of(fact: dict[str, Any]) -> tuple[Any, ...] | None:
    """What a fact states as a number, to compare: its kind and numbers in SI, or the time of a clock."""
    from shoplog.facts import to_si

    if fact["kind"] == "clock":
        found = (fact.get("attrs") or {}).get("time")
        return ("clock", found) if found else None
    numbers = [to_si(fact.get(n), fact.get("unit")) for n in ("value", "low", "high")]
    if all(n is None for n in numbers):
        return None
    return (fact["kind"], *(None if n is None else float(f"{n:.4g}") for n in numbers))


def item_of(fact: dict[str, Any]) -> tuple[str, str] | None:
    return (fact["kind"], fact["item"]) if fact.get("item") and fact["kind"] not in ("followup", "credit") else None


def paired(truth: list[dict[str, Any]], facts: list[dict[str, Any]], key: Any) -> tuple[int, int, list[dict[str, Any]]]:
    """How many stated things were found, how many there were, and the found facts that were not stated there."""
    left = [(line, key(f)) for line in truth for f in line["facts"] if key(f)]
    total, right, wrong = len(left), 0, []
    for fact in facts:
        what = key(fact)
        if not what:
            continue
        hit = next((x for x in left if x[1] == what and x[0]["start"] - 4 < fact["start"] < x[0]["end"] + 4), None)
        if hit:
            left.remove(hit)
            right += 1
        else:
            wrong.append(fact)
    return right, total, wrong


def talk_row(truth: list[dict[str, Any]], result: dict[str, Any]) -> dict[str, Any]:
    import jiwer

    said = normal(" ".join(line["say"] for line in truth))
    heard = normal(" ".join(text for _, _, text, *_ in result["cues"])) or "-"
    right, total, wrong = paired(truth, result["facts"], number_of)
    items_right, items, items_wrong = paired(truth, result["facts"], item_of)
    starts = np.array([c[0] for c in result["cues"]] or [1e9])
    errors = [float(np.abs(starts - line["start"]).min()) for line in truth]
    marked = sum(f["doubtful"] for f in wrong)
    every = [f for f in result["facts"] if number_of(f)]
    return {
        "wer": jiwer.wer(said, heard),
        "numbers": f"{right}/{total}",
        "precision": right / max(1, right + len(wrong)),
        "wrong marked": f"{marked}/{len(wrong)}",
        "right marked": f"{sum(f['doubtful'] for f in every) - marked}/{right}",
        "items": f"{items_right}/{items}",
        "items precision": items_right / max(1, items_right + len(items_wrong)),
        "start median": float(np.median(errors)),
        "start 90 %": float(np.percentile(errors, 90)),
        "unclear": result["unclear"],
    }


def table(rows: list[dict[str, Any]]) -> str:
    names = list(rows[0])
    lines = ["| " + " | ".join(names) + " |", "|" + "---|" * len(names)]
    for row in rows:
        cells = (
            f"{v:.3f}" if isinstance(v, float) and v < 10 else f"{v:.0f}" if isinstance(v, float) else str(v)
            for v in row.values()
        )
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


# ------------------------------------------------------------------------------------------------ measurements


def talk(options: argparse.Namespace, folder: Path) -> None:
    lines = spoken(options.narrations, options.cache)
    rows = []
    for snr in options.snrs:
        sound, truth = mixed(lines, snr, seed=1)
        path = save(folder / f"talk-{snr}.wav", sound)
        for system in options.systems:
            result = run(system, path, options.model, lines[0]["started"])
            if options.keep:
                name = f"{options.narrations[0]}.{'clean' if snr is None else int(snr)}.{system}.json"
                (options.keep / name).write_text(json.dumps({"truth": truth, "result": result}))
            row = {"SNR": "clean" if snr is None else f"{snr:.0f} dB", "system": system, **talk_row(truth, result)}
            row["x real time"] = len(sound) / RATE / result["wall"]
            row["x CPU"] = len(sound) / RATE / result["cpu"]
            row["again, % of CPU"] = 100 * result["again"] / result["cpu"]
            row["peak MB"] = result["peak"]
            rows.append(row)
            print(f"\n{rows[-1]}", file=sys.stderr)
    print(f"\nTalk all through, {len(sound) / RATE:.0f} s, {len(lines)} lines\n\n{table(rows)}")


def session(options: argparse.Namespace, folder: Path) -> None:
    lines = spoken(options.narrations[:1], options.cache)[:36]
    rows = []
    for snr in (10, 5):
        sound, truth = mixed(lines, snr, seed=2, noise_share=0.7)
        path = save(folder / "session.wav", sound)
        for system in options.systems:
            result = run(system, path, options.model, lines[0]["started"])
            row = {"SNR": f"{snr} dB", "system": system, **talk_row(truth, result)}
            row |= {"wall s": result["wall"], "CPU s": result["cpu"], "peak MB": result["peak"]}
            rows.append(row | {"x real time": len(sound) / RATE / result["wall"]})
    print(f"\nA session of 70 % noise, {len(sound) / RATE:.0f} s\n\n{table(rows)}")


def only_noise(options: argparse.Namespace, folder: Path) -> None:
    rows = []
    for system in options.systems:
        minutes = options.noise_minutes if system != "plain" else min(10.0, options.noise_minutes)
        path = save(folder / "noise.wav", machine_only(minutes, seed=3))
        result = run(system, path, options.model)
        words = [w for _, _, text, *_ in result["cues"] for w in re.findall(r"\w+", text)]
        rows.append({
            "system": system, "minutes": minutes, "words a minute": len(words) / minutes,
            "facts an hour": len(result["facts"]) * 60 / minutes, "most": Counter(words).most_common(3),
            "x real time": minutes * 60 / result["wall"],
        })  # fmt: skip
    print(f"\nMachine noise without speech\n\n{table(rows)}")


def memory(options: argparse.Namespace, folder: Path) -> None:
    lines = spoken(options.narrations[:1], options.cache)
    part, _ = mixed(lines, 10, seed=4, noise_share=0.8)
    rows = []
    for minutes in (10, 180):
        times = -(-minutes * 60 * RATE // len(part))
        path = save(folder / "long.wav", np.tile(part, times)[: minutes * 60 * RATE])
        result = run("shoplog", path, options.model)
        rows.append({"minutes": minutes, "peak MB": result["peak"], "wall s": result["wall"]})
        print(rows[-1], file=sys.stderr)
    print(f"\nMemory\n\n{table(rows)}")


def human(options: argparse.Namespace, folder: Path) -> None:
    """Readings by people: errors of words, and of the times of lines where NAME.csv beside them tells these."""
    import csv

    import jiwer
    import make

    from shoplog.media import decode

    rows = []
    for text in sorted(options.human.glob("*.txt")):
        with decode(next(p for p in (text.with_suffix(s) for s in (".wav", ".mp3", ".flac")) if p.exists())) as sound:
            read = sound.read(0, sound.samples)
        read = read * SPEECH / make.active_level(read)
        times = []
        if text.with_suffix(".csv").exists():  # number, start, end, words; the first line is the title
            times = [float(row[1]) for row in csv.reader(text.with_suffix(".csv").open())][1:]
        for snr in options.snrs:
            gain = 0.0 if snr is None else SPEECH * 10 ** (-snr / 20)
            random = np.random.default_rng(1)
            under = noise(random, "idle", len(read)) * gain + 1e-4 * random.standard_normal(len(read))
            path = save(folder / f"{text.stem}.wav", np.clip(read + under, -0.98, 0.98))
            for system in options.systems:
                result = run(system, path, options.model)
                heard = normal(" ".join(t for _, _, t, *_ in result["cues"])) or "-"
                row = {"reading": text.stem, "SNR": "clean" if snr is None else f"{snr:.0f} dB", "system": system}
                row["WER"] = jiwer.wer(normal(text.read_text()), heard)
                # Words, not remarks: a remark may hold two lines.
                starts = np.array([w[1] for c in result["cues"] for w in c[4]] or [1e9])
                errors = [float(np.abs(starts - t).min()) for t in times]
                row["start median"] = float(np.median(errors)) if errors else "-"
                rows.append(row)
    print(f"\nReadings by people\n\n{table(rows)}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument(
        "--only", choices=("talk", "noise", "session", "memory"), nargs="+", default=["talk", "noise", "session"]
    )
    parser.add_argument("--narrations", nargs="+", default=["n01"])
    parser.add_argument(
        "--systems", nargs="+", default=["plain", "shoplog", "twice"], choices=("plain", "shoplog", "twice")
    )
    parser.add_argument("--noise-minutes", type=float, default=20.0)
    parser.add_argument("--model", default=None, help="weights, as for shoplog add --model")
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir()) / "shoplog-bench-voices")
    parser.add_argument("--snrs", nargs="+", default=list(SNRS), type=lambda t: None if t == "clean" else float(t))
    parser.add_argument("--keep", type=Path, help="a folder for what was heard in talk, with the truth, as JSON")
    parser.add_argument("--human", type=Path, help="a folder of readings with their text")
    parser.add_argument("--job", nargs=3, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.job:
        system, path, started = options.job
        print(json.dumps(job(system, path, options.model, started)))
        return
    options.cache.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        for which, measure in (("talk", talk), ("noise", only_noise), ("session", session), ("memory", memory)):
            if which in options.only and not options.human:
                measure(options, Path(name))
        if options.human:
            sys.path.insert(0, str(REPOSITORY / "fixtures"))
            human(options, Path(name))


if __name__ == "__main__":
    main()
