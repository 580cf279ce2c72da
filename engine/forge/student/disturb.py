"""What a lived-in room does to speech, for whole batches on an accelerator.

Echo: the direct sound, a few early reflections and a tail of noise that dies away exponentially
(Moorer's model of a late reverberation), its high tones sooner, 60 dB in 0.1 to 1.0 s. In the
background: noise of any colour, machines, drops and knocks, tones, music by real instruments, and
other people (one, or a babble of several) from the corpus itself. All of that counts as silence:
what is to be learnt is the one who is near. Band: a gentle tilt and edges, as microphones have
them, or a telephone's. Gain: of the microphone, and of a control that breathes.
"""

import math
from collections.abc import Callable

import torch
from torch import Tensor
from torch.nn import functional

from engine.forge.student.speech import RATE


def _power(sound: Tensor) -> Tensor:
    return sound.square().mean(-1, keepdim=True).clamp_min(1.0)


def echo(sound: Tensor, make: torch.Generator, dry: float = 1 / 4, wettest: float = 9.0) -> Tensor:
    """Each sound in a room of its own; a share stays dry. `wettest` is the most that a room adds to
    the direct sound, dB.
    """
    count, length = sound.shape
    tail = RATE
    time = torch.arange(tail, device=sound.device) / RATE
    dies = 0.1 + 0.9 * _uniform(sound, make)
    late = torch.randn(count, tail, device=sound.device, generator=make)
    # the high tones, two fifths of what is heard, die away in 0.4 to 1 of that time
    high = torch.diff(late, dim=-1, prepend=late[:, :1]) * 0.5
    sooner = dies * (0.4 + 0.6 * _uniform(sound, make))
    late = (late - high) * torch.exp(-math.log(1000) * time / dies)
    late = late + 1.2 * high * torch.exp(-math.log(1000) * time / sooner)
    # reflections from single walls come before the tail is dense
    early = torch.rand(count, tail, device=sound.device, generator=make) < 0.004
    late = torch.where((time < 0.03) & ~early, 0.0, late * torch.where(early, 4.0, 1.0))
    late[:, : RATE // 700] = 0
    late = late / late.square().sum(-1, keepdim=True).sqrt()
    wet = 10 ** ((-16 + (16 + wettest) * _uniform(sound, make)) / 20)
    wet = wet * (_uniform(sound, make) > dry)
    response = late * wet
    response[:, 0] += 1
    return _convolved(sound, response)[:, :length]


def _convolved(sound: Tensor, response: Tensor) -> Tensor:
    size = 1 << (sound.shape[1] + response.shape[1] - 1).bit_length()
    return torch.fft.irfft(torch.fft.rfft(sound, size) * torch.fft.rfft(response, size), size)


def _uniform(like: Tensor, make: torch.Generator) -> Tensor:
    return torch.rand(len(like), 1, device=like.device, generator=make)


def coloured(like: Tensor, make: torch.Generator) -> Tensor:
    """Noise whose power falls with frequency to the power 0 (white) to 2 (brown)."""
    count, length = like.shape
    white = torch.fft.rfft(torch.randn(count, length, device=like.device, generator=make))
    hz = torch.arange(white.shape[-1], device=like.device).clamp_min(20.0)
    return torch.fft.irfft(white * hz ** (-_uniform(like, make)), length)


def music(like: Tensor, make: torch.Generator) -> Tensor:
    """Four parts that change tone a few times a second; half of them are plucked and die away."""
    count, length = like.shape
    time = torch.arange(length, device=like.device) / RATE
    total = torch.zeros_like(like)
    for _ in range(4):
        beat = 0.15 + 0.7 * _uniform(like, make)
        number = (time / beat).long()
        steps = torch.randint(-14, 22, (count, 64), device=like.device, generator=make)
        hz = 220.0 * 2 ** (torch.gather(steps, 1, number.clamp_max(63)) / 12)
        phase = 2 * math.pi * torch.cumsum(hz / RATE, -1)
        bright = 0.4 + 1.4 * _uniform(like, make)
        tone = torch.zeros_like(like)
        for overtone in range(1, 8):
            tone += (overtone * phase).sin() * overtone**-bright
        plucked = (_uniform(like, make) < 0.5) * (1 + 11 * _uniform(like, make))
        total += tone * torch.exp(-plucked * (time - number * beat))
    return total


def machine(like: Tensor, make: torch.Generator) -> Tensor:
    """A motor's hum with a rush of air or water that comes and goes."""
    time = torch.arange(like.shape[1], device=like.device) / RATE
    hz = 40 * 8 ** _uniform(like, make)
    hum = torch.zeros_like(like)
    for overtone in range(1, 12):
        phase = 2 * math.pi * _uniform(like, make)
        hum += (2 * math.pi * hz * overtone * time + phase).sin() * overtone**-0.8
    rate = 0.2 * 20 ** _uniform(like, make)
    swell = 1 + _uniform(like, make) * (2 * math.pi * rate * time).sin()
    rush = _shaped(coloured(like, make), make)
    return rush / _power(rush).sqrt() * swell + 0.7 * _uniform(like, make) * hum


def drops(like: Tensor, make: torch.Generator) -> Tensor:
    """Rain on a pane to knocks of wood: decaying tones at random moments."""
    count, length = like.shape
    often = 0.7 * 200 ** _uniform(like, make) / RATE
    hits = torch.rand(like.shape, device=like.device, generator=make) < often
    force = torch.randn(like.shape, device=like.device, generator=make)
    time = torch.arange(RATE // 4, device=like.device) / RATE
    hz = 80 * 70 ** _uniform(like, make)
    noise = torch.randn(count, len(time), device=like.device, generator=make)
    knock = (2 * math.pi * hz * time).sin() + 0.7 * noise
    knock = knock * torch.exp(-time * 10 * 40 ** _uniform(like, make))
    return _convolved(hits * force, knock)[:, :length]


def _shaped(sound: Tensor, make: torch.Generator) -> Tensor:
    """Through a broad resonance somewhere."""
    spectrum = torch.fft.rfft(sound)
    hz = torch.arange(spectrum.shape[-1], device=sound.device) * RATE / sound.shape[-1]
    centre = 200 * 15 ** _uniform(sound, make)
    away = torch.log2(hz.clamp_min(20) / centre)
    return torch.fft.irfft(spectrum * (0.15 + torch.exp(-away.square())), sound.shape[-1])


def played(bank: Tensor, like: Tensor, make: torch.Generator) -> Tensor:
    """Music out of a bank (samples,), each from a place of its own."""
    count, length = like.shape
    starts = torch.randint(len(bank) - length, (count, 1), device=bank.device, generator=make)
    return bank[starts + torch.arange(length, device=bank.device)]


def voices(pool: Tensor, like: Tensor, make: torch.Generator) -> Tensor:
    """One to seven other people at a time, out of `pool` (N, samples)."""
    count, length = like.shape
    talk = torch.zeros_like(like)
    crowd = torch.randint(2, 8, (count, 1), device=pool.device, generator=make)
    crowd = torch.where(_uniform(talk, make) < 0.6, torch.ones_like(crowd), crowd)
    for number in range(7):
        pick = torch.randint(len(pool), (count,), device=pool.device, generator=make)
        one = pool[pick]
        one = torch.cat([one, one[:, : max(0, length - one.shape[1])]], -1)[:, :length]
        one = one / _power(one).sqrt() * 10 ** (-6 * _uniform(talk, make) / 20)
        talk += one * (number < crowd)
    return talk


def band(sound: Tensor, make: torch.Generator) -> Tensor:
    """A tilt of up to 6 dB an octave about 1 kHz either way, halved, and soft edges."""
    spectrum = torch.fft.rfft(sound)
    hz = torch.arange(spectrum.shape[-1], device=sound.device) * RATE / sound.shape[-1]
    octaves = torch.log2(hz.clamp_min(30) / 1000)
    tilt = (_uniform(sound, make) - 0.5) * 6
    low = 40 + 220 * _uniform(sound, make).square()
    high = 8000 - 4000 * _uniform(sound, make).square()
    decibels = tilt * octaves
    decibels = decibels - 24 * torch.log2(low / hz.clamp_min(1)).clamp_min(0)
    decibels = decibels - 24 * torch.log2(hz.clamp_min(1) / high).clamp_min(0)
    return torch.fft.irfft(spectrum * 10 ** (decibels / 20), sound.shape[-1])


def telephone(sound: Tensor) -> Tensor:
    """300 to 3400 Hz, in the 256 steps of G.711's µ-law."""
    spectrum = torch.fft.rfft(sound)
    hz = torch.arange(spectrum.shape[-1], device=sound.device) * RATE / sound.shape[-1]
    passes = 1 / (1 + (250 / hz.clamp_min(1)) ** 8) / (1 + (hz / 3500) ** 24)
    narrow = torch.fft.irfft(spectrum * passes, sound.shape[-1]).clamp(-32768, 32767) / 32768
    squeezed = narrow.sign() * (1 + 255 * narrow.abs()).log() / math.log(256)
    steps = (squeezed * 127).round() / 127
    return steps.sign() * (256 ** steps.abs() - 1) / 255 * 32768


def breathing(sound: Tensor, make: torch.Generator) -> Tensor:
    """An automatic gain: down at once when it is loud, up again over a second."""
    hop = RATE // 50
    count = sound.shape[1] // hop
    level = sound[:, : count * hop].reshape(len(sound), count, hop).square().mean(-1).sqrt()
    falls = 10 ** (-(0.15 + 0.6 * _uniform(sound, make)) / 20 * 2)
    held, kept = [], level[:, :1]
    for place in range(count):
        kept = torch.maximum(level[:, place : place + 1], kept * falls)
        held.append(kept)
    most = 4 + 12 * _uniform(sound, make)
    gain = (2000 / torch.cat(held, 1).clamp_min(1)).minimum(most)
    whole = functional.interpolate(gain[:, None], sound.shape[1], mode="linear")[:, 0]
    return sound * whole


def _background(
    like: Tensor, pool: Tensor, tunes: Tensor, make: torch.Generator
) -> tuple[Tensor, Tensor]:
    """Something that goes on for each of a batch, root mean square 1, and whether it is talk.

    The shares are fixed: which of the batch is next to what is by chance already.
    """
    kinds: list[tuple[int, Callable[[Tensor], Tensor]]] = [
        (3, lambda some: coloured(some, make)),
        (3, lambda some: machine(some, make)),
        (2, lambda some: drops(some, make)),
        (1, lambda some: music(some, make)),
        (4, lambda some: played(tunes, some, make)),
        (7, lambda some: voices(pool, some, make)),
    ]
    whole, done, made = sum(share for share, _ in kinds), 0, []
    for share, sounds in kinds:
        begin, end = (len(like) * parts // whole for parts in (done, done + share))
        done += share
        if end > begin:
            made.append(sounds(like[begin:end]))
    noise = torch.cat(made)
    talk = torch.arange(len(like), device=like.device) >= len(like) * (whole - 7) // whole
    return noise / _power(noise).sqrt(), talk[:, None]


def disturbed(
    sound: Tensor, pool: Tensor, tunes: Tensor, make: torch.Generator, alone: float = 0.0
) -> tuple[Tensor, Tensor]:
    """A batch (B, length) as rooms and microphones would give it, 16-bit scale throughout; and
    which of it is background alone, (B, 1). `alone` is the share of that.

    `pool` (N, samples) is what other people say, `tunes` (samples,) is music.
    """
    noise, talk = _background(sound, pool, tunes, make)
    # a voice in the way is never as loud as the maker's: she is nearer to the microphone
    snr = torch.where(talk, 7 + 25 * _uniform(sound, make), 2 + 28 * _uniform(sound, make))
    loud = _power(sound * (sound.abs() > 30)).sqrt() * 1.5
    silent = _uniform(sound, make) < alone
    near = torch.where(silent, 0.0, echo(sound, make))
    noisy = near + echo(noise, make, dry=0.1) * loud * 10 ** (-snr / 20)
    quiet = (_uniform(sound, make) < 0.15) & ~silent
    noisy = torch.where(quiet, sound, noisy)
    noisy = band(noisy, make)
    noisy = torch.where(_uniform(sound, make) < 0.15, breathing(noisy, make), noisy)
    # her own loudness is known after a while, and evened out
    gain = torch.where(
        _uniform(sound, make) < 0.7, 4 - 10 * _uniform(sound, make), 8 - 26 * _uniform(sound, make)
    )
    hiss = torch.randn(sound.shape, device=sound.device, generator=make)
    hiss = hiss * 10 ** (1.5 * _uniform(sound, make))
    given = noisy * 10 ** (gain / 20) + hiss
    given = torch.where(_uniform(sound, make) < 0.2, telephone(given), given)
    return given.clamp(-32768, 32767), silent
