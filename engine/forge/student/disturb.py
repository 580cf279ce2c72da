"""What a room does to speech, for whole batches on an accelerator.

Echo: the direct sound and a tail of noise that dies away exponentially (Moorer's model of a late
reverberation), 60 dB in 0.1 to 0.7 s. Noise: white, pink or brown, music of held and of plucked
tones, other people (one, or a babble of several) from the corpus itself. Band: a gentle random
tilt and edges, as microphones have them. Gain: a near and a far microphone.
"""

import math

import torch
from torch import Tensor

from engine.forge.student.speech import RATE


def _power(sound: Tensor) -> Tensor:
    return sound.square().mean(-1, keepdim=True).clamp_min(1.0)


def echo(sound: Tensor, make: torch.Generator) -> Tensor:
    """Each sound in a room of its own; a third stay dry."""
    count, length = sound.shape
    tail = RATE * 7 // 10
    time = torch.arange(tail, device=sound.device) / RATE
    dies = 0.1 + 0.6 * _uniform(sound, make)
    shape = torch.exp(-math.log(1000) * time / dies)
    late = torch.randn(count, tail, device=sound.device, generator=make) * shape
    late[:, : RATE // 500] = 0
    late = late / late.square().sum(-1, keepdim=True).sqrt()
    wet = 10 ** ((-14 + 16 * _uniform(sound, make)) / 20)
    wet = wet * (_uniform(sound, make) > 1 / 3)
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


def voices(pool: Tensor, like: Tensor, make: torch.Generator) -> Tensor:
    """One to seven other people at a time, out of `pool` (N, samples)."""
    count, length = like.shape
    talk = torch.zeros_like(like)
    crowd = torch.randint(1, 8, (count, 1), device=pool.device, generator=make)
    crowd = torch.where(_uniform(talk, make) < 0.4, torch.ones_like(crowd), crowd)
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


def disturbed(sound: Tensor, pool: Tensor, make: torch.Generator) -> Tensor:
    """A batch (B, length) as rooms and microphones would give it; 16-bit scale throughout."""
    count = len(sound)
    kind = torch.randint(12, (count, 1), device=sound.device, generator=make)
    noise = torch.where(kind < 4, coloured(sound, make), music(sound, make))
    noise = torch.where(kind >= 6, voices(pool, sound, make), noise)
    noise = noise / _power(noise).sqrt()
    # a voice in the way is never louder than the maker's: she is nearer to the microphone
    snr = torch.where(kind >= 6, 5 + 25 * _uniform(sound, make), 30 * _uniform(sound, make))
    loud = _power(sound * (sound.abs() > 30)).sqrt() * 1.5
    noisy = echo(sound, make) + echo(noise, make) * loud * 10 ** (-snr / 20)
    quiet = _uniform(sound, make) < 0.2
    noisy = torch.where(quiet, sound, noisy)
    noisy = band(noisy, make)
    gain = 10 ** ((8 - 28 * _uniform(sound, make)) / 20)
    hiss = torch.randn(sound.shape, device=sound.device, generator=make)
    hiss = hiss * 10 ** (1.5 * _uniform(sound, make))
    return (noisy * gain + hiss).clamp(-32768, 32767)
