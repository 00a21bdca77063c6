"""Take an answer to what was asked: accept it, read it back, or refuse it with why.

An engine that may mishear is never believed at once: its answers are read back and
wait for a yes. Answers that decide which refrigerant flows are always read back.
A value that cannot be is refused; one that is odd is read back as odd.
"""

from typing import Literal, assert_never

from companion.job import disputes
from companion.job.amounts import amount
from companion.job.asking import Put, expected, key_of
from companion.job.expectations import EXPECTATIONS
from companion.job.facts import (
    Answer,
    AnswerAccepted,
    AnswerDenied,
    AnswerDoubted,
    AnswerRefused,
    Candidate,
    ChargingEnded,
    Halted,
    NameAnswer,
    NumberAnswer,
    OptionAnswer,
    Spoken,
)
from companion.job.inputs import (
    Heard,
    SaidChoice,
    SaidControl,
    SaidName,
    SaidNameUnclear,
    SaidOutOfRange,
    SaidQuantity,
    SaidUnclear,
    SaidWrongUnit,
)
from companion.job.items import (
    AskQuestion,
    AskReady,
    AskStep,
    Blocked,
    Halt,
    Over,
    Pause,
)
from companion.job.judging import Doubt, Refuse, judge_answer
from companion.job.listening import HALF_HEARD, read_back
from companion.job.outputs import Ask
from companion.job.questions import base_key
from companion.job.read_back import BY_SENSOR, say_read_back, value_of
from companion.job.state import Pending
from companion.job.steps import REFUSED_OFTEN, answer_step
from companion.job.trust import Accept, AskAgain, Offer, ReadBack, too_noisy
from companion.job.turn import Turn
from companion.job.weighing import candidates_of, weigh
from companion.knowledge.catalogue import Refrigerant

OFTEN = 3
"""From this many askings of one question the companion offers the buttons."""


def take(turn: Turn, item: Put, heard: Heard) -> None:  # noqa: C901 - one match
    """Take what was heard as an answer to the item that stands."""
    pending = turn.job.pending
    standing = pending is not None and pending.key == key_of(item)
    if (
        pending is not None
        and standing
        and read_back(turn.job)
        and _settled(turn, pending, heard)
    ):
        return
    if (
        isinstance(item, AskQuestion)
        and heard.guesses
        and not isinstance(heard.said, SaidControl)
        and _by_policy(turn, item, heard)
    ):
        return
    match heard.said:
        case SaidControl(word=word):
            _hear_word(turn, item, word, heard)
        case SaidQuantity(quantity=quantity):
            answer = NumberAnswer(amount=amount(quantity))
            _answer(turn, item, answer, heard, 1 if _clear(heard) else 2)
        case SaidName(designation=designation):
            _answer(turn, item, NameAnswer(designation=designation), heard)
        case SaidChoice(option=option):
            _choose(turn, item, option, heard)
        case SaidNameUnclear(candidates=candidates):
            _refuse(turn, item, "letter", heard.words)
            _ask_for_the_letter(turn, candidates)
        case SaidOutOfRange() as said:
            _refuse(turn, item, "out-of-range", heard.words)
            turn.say(
                "out-of-range",
                value=said.value,
                low=said.low,
                high=said.high,
                unit=said.unit,
            )
        case SaidWrongUnit() as said:
            _refuse(turn, item, "wrong-unit", heard.words)
            turn.say("wrong-unit", unit=said.unit, wanted=said.wanted)
        case SaidUnclear():
            _unclear(turn, item, heard)
        case _:
            assert_never(heard.said)


def _clear(heard: Heard) -> bool:
    """Tell whether there is no doubt what was said: no ear was needed, or it was sure."""
    return heard.sure or heard.by != "voice"


MOST_NAMES = 3
"""No more designations than this are offered: a list is not kept in mind."""


def _ask_for_the_letter(turn: Turn, candidates: tuple[str, ...]) -> None:
    """Offer the designations it may have been, as far as the job can take them."""
    catalogue = turn.know.knowledge.catalogue
    names = [
        each for each in candidates if isinstance(catalogue.get(each), Refrigerant)
    ]
    if not names:
        turn.say("no-such-name")
        return
    cue = "which-name" if len(names) <= MOST_NAMES else "which-name-more"
    turn.say(cue, names=", ".join(names[:MOST_NAMES]))


def _by_policy(turn: Turn, item: AskQuestion, heard: Heard) -> bool:
    """Do what the policy says; tell whether it had any say.

    It has none where nothing that may have been said answers the question.
    """
    possible = [
        each for each in candidates_of(heard.guesses) if _of_the_kind(item, each.answer)
    ]
    if not possible:
        return False
    match weigh(turn, item, heard):
        case Accept(answer=answer):
            _answer(turn, item, answer, heard)
        case ReadBack(answer=answer, times=times):
            _answer(turn, item, answer, heard, times)
        case Offer(first=first, second=second):
            _refuse(turn, item, "two-likely", heard.words)
            turn.say("offer-two", first=value_of(first), second=value_of(second))
        case AskAgain(how=how):
            if not isinstance(heard.said, SaidUnclear) and _impossible(
                turn, item, possible
            ):
                return False
            _refuse(turn, item, "unclear", heard.words)
            _say_again(turn, item, how, heard)
    return True


How = Literal["plainly", "by-digits", "keys"]


def _say_again(turn: Turn, item: AskQuestion, how: How, heard: Heard) -> None:
    """Ask for an answer again, in another way where one way has failed."""
    if too_noisy(heard.over_noise):
        turn.say("too-noisy")
        return
    match how:
        case "plainly":
            turn.say("unclear")
        case "by-digits":
            turn.say("unclear-digits")
        case "keys":
            _say_unclear_often(turn, item.question.expects)
        case _:
            assert_never(how)


def _say_unclear_often(turn: Turn, expects: str) -> None:
    """Name the other ways to answer: digits and keys, or the words that are known."""
    if EXPECTATIONS[expects].of is not None:
        turn.say("unclear-number")
    else:
        turn.say("unclear-often", expects=expects)


def _impossible(turn: Turn, item: AskQuestion, heard: list[Candidate]) -> bool:
    """Tell whether none of the answers can be, so that the reason must be said."""
    verdicts = (judge_answer(turn.job, turn.know, item.key, e.answer) for e in heard)
    return all(isinstance(each, Refuse) for each in verdicts)


def _settled(turn: Turn, pending: Pending, heard: Heard) -> bool:
    """Deal with a yes or no to a read-back; tell whether that settled the hearing."""
    if not isinstance(heard.said, SaidControl):
        return False
    match heard.said.word:
        case "yes" | "done":
            confirm_pending(turn, heard.by, sure=_clear(heard))
        case "no":
            turn.remember(AnswerDenied(at=turn.at, key=pending.key))
            if pending.doubt == BY_SENSOR:
                disputes.settle(turn, pending.key, believed=True)
            turn.say("denied")
            turn.again = True
        case _:
            return False
    return True


def _hear_word(turn: Turn, item: Put, word: str, heard: Heard) -> None:
    """Take a word at once if it was heard surely, else when it comes a second time."""
    weighty = word in ("yes", "no", "unknown") and isinstance(
        item, AskQuestion | AskStep
    )
    if not weighty or not _is_answer(item, word) or twice(turn, item, word, heard):
        take_word(turn, item, word, heard.words, heard.by)


def twice(turn: Turn, item: Put, word: str, heard: Heard) -> bool:
    """Tell whether a word counts: heard surely, or now for the second time.

    If it does not, it is asked for once more.
    """
    answer, pending = OptionAnswer(option=word), turn.job.pending
    if heard.sure:
        return True
    if pending is not None and (pending.key, pending.answer) == (key_of(item), answer):
        return True
    turn.remember(
        AnswerDoubted(
            at=turn.at,
            key=key_of(item),
            answer=answer,
            words=heard.words,
            doubt=HALF_HEARD,
        )
    )
    _once_more(turn, item, answer)
    return False


def _once_more(turn: Turn, item: Put, answer: OptionAnswer) -> None:
    """Ask for a half-heard word again, with the question it would answer."""
    match item:
        case AskQuestion():
            key = base_key(item.key)
            turn.say("once-more-question", answer=answer.option, key=key)
        case AskStep(step=step):
            turn.say("once-more-step", answer=answer.option, say=step.say)
        case _:
            say_read_back(turn)
            return
    turn.show(Ask(expectation=expected(item)))


def _is_answer(item: Put, word: str) -> bool:
    match item:
        case AskQuestion(question=asked):
            return word in _words_for(asked.expects)
        case AskStep(step=step):
            return step.kind == "ask"
        case _:
            return False


def confirm_pending(turn: Turn, by: Spoken, *, sure: bool = True) -> None:
    """Let the answer that was read back count, or read it back for one more yes.

    The last yes must be heard surely, or twice: talk and a "no" may sound like one.
    """
    pending = turn.job.pending
    if pending is None:
        return
    half = not sure and pending.confirms == 1 and not pending.half
    if pending.confirms > 1 or half:
        turn.remember(
            AnswerDoubted(
                at=turn.at,
                key=pending.key,
                answer=pending.answer,
                words=pending.words,
                doubt=pending.doubt,
                confirms=1 if half else pending.confirms - 1,
                half=half,
            )
        )
        key, answer = base_key(pending.key), value_of(pending.answer)
        turn.say("read-back-again", key=key, answer=answer)
        turn.show(Ask(expectation="read-back"))
    else:
        _accept(turn, pending.key, pending.answer, pending.words, by)
        if pending.doubt == BY_SENSOR:
            disputes.settle(turn, pending.key, believed=False)
        turn.say("noted")


def take_word(turn: Turn, item: Put, word: str, words: str, by: Spoken) -> None:
    """Take a control word, or a button that means one, as an answer."""
    match item:
        case AskQuestion() if word in ("no", "unknown") and _undone(
            turn, item, word, words
        ):
            pass
        case AskQuestion(question=asked) if word in _words_for(asked.expects):
            answer = OptionAnswer(option=word)
            _accept(turn, item.key, answer, words, by)
            if word == "unknown":
                turn.say("heard", key=base_key(item.key), answer=word)
        case AskStep() if word in ("done", "yes", "no", "unknown"):
            answer_step(turn, item, word)
        case (
            AskReady()
            | Halt()
            | Blocked()
            | Pause()
            | Over()
            | AskQuestion()
            | AskStep()
        ):
            _not_an_answer(turn, item)
        case _:
            assert_never(item)


MUST_BE_DONE = ("cylinder-valve-shut", "cylinder-valve-open")
"""Questions that only "yes" answers: the job cannot go on without."""
NEEDED_FOR_PROOF = ("unit-running",)
"""Questions whose "no" leaves the charge unproved, so it is read back."""


def _undone(turn: Turn, item: AskQuestion, word: str, words: str) -> bool:
    """Deal with a "no" where something has to be done; tell whether it was one."""
    key = base_key(item.key)
    if key in MUST_BE_DONE:
        _refuse(turn, item, "not-done", words)
        turn.say("do-first")
        return True
    if key in NEEDED_FOR_PROOF:
        answer = OptionAnswer(option=word)
        _read_back(turn, item, answer, words, "unproved")
        return True
    return False


def _words_for(expects: str) -> tuple[str, ...]:
    match expects:
        case "yes-no":
            return ("yes", "no", "unknown")
        case "done":
            return ("done", "yes")
        case _:
            return _UNKNOWN if expects in _MAY_BE_UNKNOWN else ()


_UNKNOWN = ("unknown",)
_MAY_BE_UNKNOWN = (
    "refrigerant",
    "metering",
    "unit-state",
    "leak-state",
    "loss",
    "factory-charge",
    "target-subcooling",
)


def _choose(turn: Turn, item: Put, option: str, heard: Heard) -> None:
    if isinstance(item, Halt) and option == "finish":
        outcome = "not-charged" if item.reason.startswith("method") else "ended-early"
        turn.remember(ChargingEnded(at=turn.at, outcome=outcome))
        return
    _answer(turn, item, OptionAnswer(option=option), heard)


def _answer(
    turn: Turn, item: Put, answer: Answer, heard: Heard, times: int = 1
) -> None:
    if not isinstance(item, AskQuestion) or not _of_the_kind(item, answer):
        _not_an_answer(turn, item)
        return
    verdict = judge_answer(turn.job, turn.know, item.key, answer)
    differs = disputes.differs(turn, item.key, answer, heard)
    if differs and not isinstance(verdict, Refuse):
        _read_back(turn, item, answer, heard.words, BY_SENSOR)
        return
    match verdict:
        case Refuse():
            _refuse(turn, item, verdict.reason, heard.words)
            turn.say(verdict.cue, **verdict.values)
            _stand_still_in_the_end(turn, base_key(item.key))
        case Doubt():
            _read_back(turn, item, answer, heard.words, verdict.reason, times)
        case None if _must_confirm(item, heard):
            _read_back(turn, item, answer, heard.words, "", times)
        case None:
            _accept(turn, item.key, answer, heard.words, heard.by)
            turn.say("heard", key=base_key(item.key), answer=value_of(answer))
        case _:
            assert_never(verdict)


def _stand_still_in_the_end(turn: Turn, key: str) -> None:
    """Offer to go back or to finish where one question got nowhere so often."""
    asked = turn.job.asked
    if asked is not None and asked.tries > REFUSED_OFTEN and turn.job.pending is None:
        turn.remember(Halted(at=turn.at, reason=f"answer:{key}"))


def _of_the_kind(item: AskQuestion, answer: Answer) -> bool:
    """Tell whether an answer fits the question; one heard for an older one may not."""
    expected = EXPECTATIONS[item.question.expects]
    match answer:
        case NumberAnswer():
            return answer.amount.of == expected.of
        case NameAnswer():
            return expected.names
        case OptionAnswer():
            return answer.option in expected.options
        case _:
            assert_never(answer)


def _must_confirm(item: AskQuestion, heard: Heard) -> bool:
    match item.question.confirm:
        case "always":
            return True
        case "unless-sure":
            return not heard.sure
        case "never":
            return False
        case _:
            assert_never(item.question.confirm)


def _read_back(
    turn: Turn,
    item: AskQuestion,
    answer: Answer,
    words: str,
    doubt: str,
    times: int = 1,
) -> None:
    turn.remember(
        AnswerDoubted(
            at=turn.at,
            key=item.key,
            answer=answer,
            words=words,
            doubt=doubt,
            confirms=times,
        )
    )
    say_read_back(turn)


def _accept(turn: Turn, key: str, answer: Answer, words: str, by: Spoken) -> None:
    turn.remember(
        AnswerAccepted(at=turn.at, key=key, answer=answer, words=words, by=by)
    )


def accept_sample(turn: Turn, key: str, answer: NumberAnswer) -> bool:
    """Take a sensor's value as the answer, say so, and tell whether it was taken.

    A value that is impossible or odd is left: the technician is asked, as always.
    """
    if not disputes.believed(turn.job, base_key(key)):
        return False
    if judge_answer(turn.job, turn.know, key, answer) is not None:
        return False
    _accept(turn, key, answer, "", "sensor")
    turn.say("heard", key=base_key(key), answer=answer.amount)
    return True


def _refuse(turn: Turn, item: Put, reason: str, words: str) -> None:
    turn.remember(
        AnswerRefused(at=turn.at, key=key_of(item), reason=reason, words=words)
    )
    turn.again = True


def _unclear(turn: Turn, item: Put, heard: Heard) -> None:
    pending = turn.job.pending
    _refuse(turn, item, "unclear", heard.words)
    if pending is not None:
        turn.again = False
        turn.say("unclear")
        say_read_back(turn)
        return
    asked = turn.job.asked
    if too_noisy(heard.over_noise):
        turn.say("too-noisy")
    elif asked is None or asked.tries < OFTEN:
        turn.say("unclear")
    else:
        _say_unclear_often(turn, asked.expects)


def _not_an_answer(turn: Turn, item: Put) -> None:
    _refuse(turn, item, "not-an-answer", "")
    expects = turn.job.asked.expects if turn.job.asked else "nothing"
    turn.say("not-an-answer", expects=expects)
