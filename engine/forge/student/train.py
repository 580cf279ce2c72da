"""Stage two: the student learns to name what the teacher found in the clean twin of what it hears.

The teacher's senones (`align`) are the targets: half the weight on the senone in context, half on
the context-free one, which the garbage filler is measured by. What is heard is the same sound
stretched, disturbed and at another level. What goes on in the background is a target of no weight:
where she is silent, silence is right. Seeds are fixed; the figures go to `train.log`.
"""

import json
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import torch
from torch import Tensor
from torch.nn import functional

from engine.forge.sphinx import AcousticModel, read_model
from engine.forge.student import disturb
from engine.forge.student.align import Line, PhoneLoop, along_lines, line
from engine.forge.student.features import STUDENT, TEACHER, Mfcc
from engine.forge.student.network import Student
from engine.forge.student.speech import RATE, SHARES, kind
from engine.forge.student.teacher import Teacher
from engine.forge.student.tunes import FILE as TUNES_FILE
from engine.forge.tdnn import LEFT

SEED = 20
PIECE_S = 4.0
"""Seconds of sound in one training piece."""
BATCH = 80
PEAK_RATE = 2e-3
_ALONE = 0.06
"""This share of what is heard has nobody near in it."""
_CORPUS_LEVEL = 1500.0
"""Root mean square that every clip is brought to, 16-bit scale."""
_STRETCHES = np.linspace(0.84, 1.2, 19)
"""Length of what is heard against what was said: other throats, other paces."""


@dataclass
class Pieces:
    """Equal pieces of sound with the teacher's answer. N pieces, T frames."""

    sound: Tensor
    """(N, samples), 16-bit scale."""
    senones: Tensor
    """(N, T)."""
    free: Tensor
    """(N, T): context-free senones."""
    weights: Tensor
    """(N,): how likely each is to be heard next; `speech.SHARES` over the kinds of speaker."""


@dataclass
class Background:
    """What goes on besides her."""

    tunes: Tensor
    """Music (samples,), 16-bit scale."""
    silence: Tensor
    """The three senones that it is to be taken for."""


@dataclass
class Cut:
    """Pieces before the teacher has heard them."""

    sound: list[np.ndarray]
    whose: list[int]
    texts: list[list[str] | None]
    kinds: list[str]


def cut(work: Path, part: str) -> Cut:
    """The clips of a split, one speaker's at a time, packed into pieces with short pauses."""
    random = np.random.default_rng(SEED)
    length = round(PIECE_S * RATE)
    made = Cut([], [], [], [])
    index = [
        entry
        for name in ("speech.json", "scripted.json", "natural.json")
        for entry in json.loads((work / "corpus" / name).read_text())
    ]
    for number, entry in enumerate(index):
        if entry["split"] != part:
            continue
        for clips, words in _packed(_clips(work, entry), entry.get("texts"), length, random):
            made.sound.append(clips)
            made.whose.append(number)
            made.texts.append(words)
            made.kinds.append(kind(entry["speaker"]))
    return made


def _clips(work: Path, entry: dict[str, Any]) -> list[np.ndarray]:
    whole, _ = soundfile.read(work / "corpus" / entry["file"], dtype="float32")
    bounds = np.cumsum(entry["clips"])[:-1]
    return [clip * 32768 for clip in np.split(whole, bounds)]


def _packed(
    clips: list[np.ndarray],
    texts: list[str] | None,
    length: int,
    random: np.random.Generator,
) -> list[tuple[np.ndarray, list[str] | None]]:
    """Pieces with their words. Clips without words are cut where a piece ends."""
    pieces: list[tuple[np.ndarray, list[str] | None]] = []

    def pause() -> int:
        longest = 0.4 if random.random() < 0.75 else 1.2
        return round(random.uniform(0.05, longest) * RATE)

    if texts is None:
        strung = [np.zeros(0, np.float32)]
        for place in random.permutation(len(clips)).tolist():
            if (clip := _at_level(clips[place])) is not None:
                strung += [clip, np.zeros(pause(), np.float32)]
        whole = np.concatenate(strung)
        whole = np.pad(whole, (0, -len(whole) % length))
        return [(piece, None) for piece in whole.reshape(-1, length)]
    opened: list[tuple[np.ndarray, list[str], int]] = []
    for place in random.permutation(len(clips)).tolist():
        clip = _at_level(clips[place])
        if clip is None or len(clip) > length - RATE // 2:
            continue
        gap = min(pause(), length - 800 - len(clip))
        fits = (k for k, one in enumerate(opened) if one[2] + gap + len(clip) < length - 800)
        slot = next(fits, len(opened))
        if slot == len(opened):
            opened.append((np.zeros(length, np.float32), [], 0))
        sound, words, at = opened[slot]
        sound[at + gap : at + gap + len(clip)] = clip
        opened[slot] = (sound, words + texts[place].split(), at + gap + len(clip))
    return pieces + [(sound, words) for sound, words, _ in opened]


def _at_level(clip: np.ndarray) -> np.ndarray | None:
    level = float(np.sqrt(np.mean(np.square(clip)))) if len(clip) else 0.0
    return clip * np.float32(_CORPUS_LEVEL / level) if level > 20 else None


def speaker_means(mfcc: Mfcc, sound: Tensor, whose: np.ndarray) -> Tensor:
    """The cepstral mean of each piece's speaker over its voiced frames, (N, 1, 13)."""
    sums: dict[int, Tensor] = {}
    counts: dict[int, Tensor] = {}
    for start in range(0, len(sound), 256):
        cepstra = mfcc(_hissed(sound[start : start + 256]))
        # frames well below the piece's loudest are pauses; the model was trained with few of them
        voiced = (cepstra[..., 0] > cepstra[..., 0].amax(1, keepdim=True) - 40).float()[..., None]
        for row, speaker in enumerate(whose[start : start + 256].tolist()):
            total = (cepstra[row] * voiced[row]).sum(0)
            sums[speaker] = sums.get(speaker, torch.zeros_like(total)) + total
            counts[speaker] = counts.get(speaker, torch.zeros(1, device=sound.device)) + voiced[
                row
            ].sum(0)
    return torch.stack([sums[s] / counts[s] for s in whose.tolist()])[:, None]


def _hissed(sound: Tensor) -> Tensor:
    """Digital silence was in no training data of the teacher's: a little hiss for it."""
    return sound + torch.randn_like(sound) * 4


@torch.no_grad()
def answered(
    cuts: Cut,
    model: AcousticModel,
    teacher: Teacher,
    hears: Mfcc,
    lines: dict[str, tuple[str, ...]],
) -> Pieces:
    """What the teacher says of each piece."""
    device = hears.dct.device
    sound = torch.tensor(np.stack(cuts.sound), dtype=torch.float32, device=device)
    means = speaker_means(hears, sound, np.array(cuts.whose))
    loop = PhoneLoop(model, device)
    frames = hears(sound[:1]).shape[1]
    senones = torch.zeros(len(sound), frames, dtype=torch.long, device=device)
    free = torch.zeros_like(senones)
    for known in (False, True):
        group = [i for i, words in enumerate(cuts.texts) if (words is not None) is known]
        for start in range(0, len(group), 48):
            some = group[start : start + 48]
            scores = teacher(hears(_hissed(sound[some])) - means[some])
            if known:
                told = along_lines(scores, [_line(model, cuts.texts[i], lines) for i in some])
            else:
                told = loop(scores)
            senones[some], free[some] = told[0].to(device), told[1].to(device)
    counts = Counter(cuts.kinds)
    weights = torch.tensor([SHARES[k] / counts[k] for k in cuts.kinds], device=device)
    return Pieces(sound, senones, free, weights)


def _line(model: AcousticModel, words: list[str] | None, known: dict[str, tuple[str, ...]]) -> Line:
    return line(model, [known[word] for word in words or []])


def priors(pieces: Pieces, senones: int) -> Tensor:
    """How often each senone is a target, in all its weight; (S,), summing to one."""
    weights = pieces.weights[:, None].expand_as(pieces.senones).flatten()
    counts = torch.bincount(pieces.senones.flatten(), weights, minlength=senones)
    counts += torch.bincount(pieces.free.flatten(), weights, minlength=senones)
    return counts / counts.sum()


def train(work: Path, minutes: float) -> None:
    """Trains for that long and writes `student.pt` and `train.log`."""
    torch.manual_seed(SEED)
    torch.set_float32_matmul_precision("high")
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    log = (work / "train.log").open("w", encoding="utf-8")

    def note(text: str) -> None:
        print(text, flush=True)
        log.write(text + "\n")

    began = time.time()
    model = read_model(work / "teacher")
    dictionary = json.loads((work / "corpus" / "lexicon.json").read_text())
    teacher, hears = Teacher(model).to(device), Mfcc(TEACHER).to(device)
    learns = Mfcc(STUDENT).to(device)
    parts = {
        part: answered(cut(work, part), model, teacher, hears, dictionary)
        for part in ("train", "tune", "report")
    }
    student = Student(STUDENT.cepstra, len(model.codebooks)).to(device)
    size = sum(p.numel() for p in student.parameters())
    hours = {part: round(len(p.sound) * PIECE_S / 3600, 2) for part, p in parts.items()}
    note(f"{device}, {size} parameters, hours {hours}, loaded in {time.time() - began:.0f} s")
    silence = torch.tensor(model.senones[model.silence], device=device)
    for part, p in parts.items():
        note(f"{part}: {torch.isin(p.free, silence).float().mean():.0%} silence")
    tunes = torch.tensor(soundfile.read(work / "corpus" / TUNES_FILE, dtype="float32")[0])
    heard = Background((tunes * 32768).to(device), silence)
    _learn(student, learns, parts, heard, minutes, note)
    log.close()
    weights = {k: v.cpu() for k, v in student.state_dict().items()}
    prior = priors(parts["train"], len(model.codebooks))
    torch.save({"weights": weights, "prior": prior.cpu()}, work / "student.pt")


def _learn(  # noqa: PLR0917 - all of it is what training is
    student: Student,
    learns: Mfcc,
    parts: dict[str, Pieces],
    background: Background,
    minutes: float,
    note: Callable[[str], None],
) -> None:
    pieces = parts["train"]
    device = pieces.sound.device
    optimiser = torch.optim.AdamW(student.parameters(), lr=PEAK_RATE, weight_decay=1e-3)
    make = torch.Generator(device).manual_seed(SEED)
    random = np.random.default_rng(SEED)
    mixed = torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda")
    step, started, shown = 0, time.time(), time.time()
    losses: list[Tensor] = []
    while (gone := (time.time() - started) / 60 / minutes) < 1:
        rate = PEAK_RATE * min(1.0, step / 300, 0.51 * (1 + np.cos(np.pi * gone)) + 0.001)
        for group in optimiser.param_groups:
            group["lr"] = rate
        pick = torch.multinomial(pieces.weights, BATCH, True, generator=make)
        stretch = float(random.choice(_STRETCHES))
        with torch.no_grad():
            said = stretched(pieces.sound[pick], stretch)
            given, alone = disturb.disturbed(said, pieces.sound, background.tunes, make, _ALONE)
            heard = learns(given)
            wanted = [
                # the middle one of silence's three states for what is background alone
                torch.where(
                    alone,
                    background.silence[1],
                    _stretched_targets(targets[pick], heard.shape[1], stretch),
                )
                for targets in (pieces.senones, pieces.free)
            ]
        with mixed:
            scores = student(heard)
        loss = _loss(scores, wanted)
        optimiser.zero_grad(set_to_none=True)
        torch.autograd.backward(loss)
        torch.nn.utils.clip_grad_norm_(student.parameters(), 5.0)
        optimiser.step()
        losses.append(loss.detach())
        step += 1
        if time.time() - shown > 30:
            shown = time.time()
            figures = _figures(student, learns, parts, background.tunes, mixed)
            note(f"{gone:5.0%} step {step} loss {torch.stack(losses).mean():.3f} {figures}")
            losses = []
    note(f"done, {step} steps; {_figures(student, learns, parts, background.tunes, mixed)}")


def stretched(sound: Tensor, by: float) -> Tensor:
    """Sound (B, samples) played slower (`by` > 1) or faster, pitch and all."""
    length = round(sound.shape[1] * by / 640) * 640
    spectrum = torch.fft.rfft(sound)
    bins = length // 2 + 1
    spectrum = functional.pad(spectrum, (0, max(0, bins - spectrum.shape[1])))[:, :bins]
    return torch.fft.irfft(spectrum, length) * (length / sound.shape[1])


def _stretched_targets(targets: Tensor, frames: int, by: float) -> Tensor:
    middle = (TEACHER.length - 1) / 2
    times = (torch.arange(frames, device=targets.device) * TEACHER.shift + middle) / by - middle
    places = (times / TEACHER.shift).round().long().clamp(0, targets.shape[1] - 1)
    return targets[:, places]


def _loss(scores: Tensor, wanted: list[Tensor]) -> Tensor:
    """Cross-entropy against half a senone in context and half a context-free one."""
    logs = scores.float().log_softmax(-1)
    total = torch.zeros((), device=scores.device)
    for targets in wanted:
        inside = targets[:, LEFT : LEFT + scores.shape[1]]
        total = total - 0.5 * logs.gather(2, inside[..., None]).mean()
    return total


@torch.no_grad()
def _figures(
    student: Student,
    learns: Mfcc,
    parts: dict[str, Pieces],
    tunes: Tensor,
    mixed: torch.autocast,
) -> str:
    """Loss and how many context-free senones are right, of speakers kept out, same noise always."""
    student.eval()
    told = []
    for part in ("tune", "report"):
        pieces = parts[part]
        some = slice(0, 96)
        free = torch.unique(pieces.free)
        make = torch.Generator(pieces.sound.device).manual_seed(1)
        said = pieces.sound[some]
        heard = {
            "clean": _hissed(said),
            "noisy": disturb.disturbed(said, pieces.sound, tunes, make)[0],
        }
        for name, sound in heard.items():
            with mixed:
                scores = student(learns(sound)).float()
            wanted = [pieces.senones[some], pieces.free[some]]
            inside = wanted[1][:, LEFT : LEFT + scores.shape[1]]
            same = (free[scores[..., free].argmax(-1)] == inside).float().mean()
            told.append(f"{part} {name} {_loss(scores, wanted):.3f}/{same:.1%}")
    student.train()
    return ", ".join(told)
