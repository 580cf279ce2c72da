"""`spokenrow rehearse`: say the words, learn which are safe with this voice in this room."""

import argparse
from collections.abc import Callable
from pathlib import Path

from counter.cli.arguments import add_ears_arguments, asked_by
from counter.shared.outward import tell, tell_json, warn
from counter.shared.places import data_folder
from counter.shared.settings import load as load_settings
from counter.shared.settings import settings_path
from counter.sound import profiles
from counter.sound.rehearsing import Tries, from_microphone, from_recording
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.ears.fluency import Fluency, model_for
from engine.ears.rehearsal import TIMES, Rehearsed, Try, judge_tries, phrases_to_say


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("rehearse", help="teach it your voice in this room")
    parser.add_argument("only", nargs="*", metavar="PHRASE", help="rehearse these phrases alone")
    parser.add_argument("--list", action="store_true", help="print what is to be said, and stop")
    parser.add_argument("--from", dest="recording", type=Path, metavar="FILE")
    parser.add_argument("--every", action="store_true", help="every phrase of each command")
    parser.add_argument("--microphone", metavar="NAME", help="a microphone, or a part of its name")
    parser.add_argument("--quiet", action="store_true", help="show the phrases, do not say them")
    parser.add_argument(
        "--keep-audio", type=Path, metavar="DIR", help="also keep the sound of each try, in DIR"
    )
    parser.add_argument("--json", action="store_true", help="print the result as JSON")
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Listen, judge, tell, and keep the profile."""
    settings = asked_by(arguments).over(load_settings(settings_path(arguments.data))[0])
    language = settings.language
    phrases = _phrases(arguments.only, language, every=arguments.every)
    if arguments.list:
        for phrase in phrases:
            tell(phrase)
        return 0
    person, microphone = settings.person, settings.microphone or None
    path = profiles.profiles_path(settings_path(arguments.data))
    had, trouble = profiles.load(path)
    if trouble:
        warn(trouble)
    model = model_for(language, data_folder(arguments.data), arguments.model)
    if model.told:
        warn(model.told)
    tries = _listen(arguments, model, phrases, microphone)
    kept = had.with_tries(person, microphone, tries, language)
    mine = kept.of(person, microphone, language)
    assert mine is not None
    result = judge_tries(mine.tries, settings.sensitivity, language)
    if arguments.json:
        tell_json(result.model_dump(mode="json"), indent=None)
    else:
        _tell(result)
    if any(t.heard for t in tries):
        if trouble := profiles.save(path, kept):
            raise Refusal(trouble)
    else:
        raise Refusal("Not one word was heard, so nothing is kept: see 'spokenrow doctor'.")
    if len(tries) < len(phrases) * TIMES:
        made = some(len(tries), "try", "tries")
        warn(f"Stopped; what was made so far is kept: {made}.")
        raise KeyboardInterrupt
    return 0


def _phrases(only: list[str], language: str, *, every: bool) -> tuple[str, ...]:
    known = phrases_to_say(language, every=True)
    for phrase in only:
        if phrase not in known:
            raise Refusal(
                f"{phrase!r} is no phrase to rehearse; 'spokenrow rehearse --every --list' "
                "shows them."
            )
    return tuple(only) or phrases_to_say(language, every=every)


def _listen(
    arguments: argparse.Namespace,
    model: Fluency,
    phrases: tuple[str, ...],
    microphone: str | None,
) -> tuple[Try, ...]:
    from engine.ears.denoise import cleaner_for
    from engine.ears.trial import open_recogniser

    recogniser = open_recogniser(model.folder, model.language, data_folder(arguments.data))
    ears = Tries(recogniser, cleaner_for(model.folder), model.language)
    try:
        if arguments.recording:
            return from_recording(arguments.recording, phrases, ears)
        return _live(arguments, phrases, microphone, ears, model.language)
    finally:
        recogniser.close()


def _live(
    arguments: argparse.Namespace,
    phrases: tuple[str, ...],
    microphone: str | None,
    ears: Tries,
    language: str,
) -> tuple[Try, ...]:
    """The tries; those made so far, if there are any, when Ctrl-C ends them."""
    from counter.sound.descriptors import keep_pipe_clean
    from counter.sound.microphone import Microphone

    if arguments.keep_audio:
        try:
            arguments.keep_audio.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Refusal(
                f"No sound can be kept in {arguments.keep_audio} ({error.strerror}): name "
                "another folder."
            ) from error
    keep_pipe_clean()
    voice = _Prompter(language, quiet=arguments.quiet)
    made: list[Try] = []

    def tell(text: str) -> None:
        warn(text)

    def prompt(phrase: str, count: int) -> None:
        tell(f"say “{phrase}” ({count} of {TIMES})")
        if count == 1:
            voice.say(phrase)

    try:
        for one in from_microphone(
            Microphone(microphone, voice.around),
            phrases,
            ears,
            prompt=prompt,
            tell=tell,
            deaf=voice.sounding,
            keep=arguments.keep_audio,
        ):
            made.append(one)
    except KeyboardInterrupt:
        if not made:
            raise
    finally:
        voice.close()
    return tuple(made)


class _Prompter:
    """Says the phrases aloud; silent where that is not wanted, or there is no loudspeaker."""

    def __init__(self, language: str, *, quiet: bool) -> None:
        from counter.sound.speech import Speaker
        from counter.sound.tones import Loudspeaker

        self._loudspeaker = Loudspeaker()
        self._speaker = None
        if not quiet and self._loudspeaker.open():
            self._speaker = Speaker(self._loudspeaker, language)

    def say(self, phrase: str) -> None:
        if self._speaker is not None:
            self._speaker.say(phrase)

    def sounding(self) -> bool:
        """The ears must be deaf."""
        return self._loudspeaker.sounding

    def around(self, act: Callable[[], None]) -> None:
        """For a microphone that is looked for anew."""
        self._loudspeaker.around(act)

    def close(self) -> None:
        if self._speaker is not None:
            self._speaker.close()
        self._loudspeaker.close()


def _tell(result: Rehearsed) -> None:
    for verdict in result.phrases:
        mark = "safe    " if verdict.safe else "NOT safe"
        spare = f"; say “{verdict.spare}” instead, and rehearse it" if verdict.spare else ""
        why = f"  {verdict.reason}" if verdict.reason else ""
        tell(f"{mark} {verdict.taken} of {verdict.said}  {verdict.phrase}{why}{spare}")
    bounds = result.bounds
    tell(
        f"Taken from now on: {bounds.confidence:.2f} sure, {bounds.margin_db:.0f} dB louder than "
        "the room" + (f"; surer for {', '.join(bounds.surer)}" if bounds.surer else "") + "."
    )
