"""The evaluation in words and tables for a terminal. Every table says that it rests on simulation, where it does."""

import math
from collections.abc import Iterator, Sequence

from access.practice.cohorts.merit import BANDS_ML_MIN, Delay, Gain, Rate
from access.practice.evaluation.contenders import TUNED_TO
from access.practice.evaluation.doubt import STRETCHES, Doubt
from access.practice.evaluation.lines import Line
from access.practice.evaluation.program import BAR, TOGETHER, Judged, RuleRate
from access.practice.evaluation.simulated import Evaluated
from access.practice.evaluation.treated import AfterTreatment

NO_PATIENTS = "In simulation, no patient data; how narrowings grow is assumed."
ACCESSES_OF_A_CLINIC, MONTHS = 100, 12
READ_SO = (
    "false: false flags a stable access-year, in sum and by true flow (mL/min); what stays is met anew after 120 days.",
    "delay: median days from the true event (below the limit, or fallen by more than a quarter in four months) to",
    "  the first flag, with its 90 % bootstrap interval; negative is before it, never is for fewer than half.",
    "event, 60 d: share flagged by the event, and 60 days after it. fall 90 d: falls at once flagged within 90 days.",
    "gain: days by which the median delay is shorter than that of the limit twice in a row, its cut moved to the",
    "  rule's own rate of false flags, with its 90 % interval; or that only one of the two flags half of them.",
    f"month: for {ACCESSES_OF_A_CLINIC} stable accesses a month: false flags / requests to measure the flow again.",
)
Row = Sequence[str]


def table(head: Row, rows: Sequence[Row]) -> Iterator[str]:
    """Rows under their heads in columns, the first to the left and the others to the right."""
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    for row in (head, *rows):
        cells = [
            cell.ljust(width) if column == 0 else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  ".join(cells).rstrip()


def simulated(found: Evaluated) -> Iterator[str]:
    """Everything of one cohort."""
    seeds = ", ".join(str(seed) for seed in found.seeds)
    yield f"Cohort {found.name}: {found.described}; seeds {seeds}. {NO_PATIENTS}"
    yield ""
    yield from READ_SO
    yield ""
    head = ("rule", "cut", "seed", "false", *(_band(*band) for band in BANDS_ML_MIN))
    rest = ("delay", "event", "60 d", "fall 90 d", "gain", "month")
    yield from table((*head, *rest), [_line(one) for several in found.rules for one in several])
    pooled = [several[-1] for several in found.rules]
    if pooled[0].places:
        yield ""
        yield from _places(pooled, name=found.name)
    yield ""
    yield from _best_plain(pooled)
    yield ""
    yield from _doubts(found.doubts, name=found.name)


def _line(one: Line) -> Row:
    return (
        f"{one.contender.name}, {one.contender.set_by}",
        " ".join(f"{cut:.2f}" for cut in one.cuts),
        one.seed,
        _rate(one.false),
        *(_rate(rate) for rate in one.bands.values()),
        _delay(one.delay),
        _share(one.delay.by_event),
        _share(one.delay.by_60_days),
        _share(one.sudden.within_90_days),
        _gain(one.gain),
        _a_month(one.false.per_year, asked=one.asked_a_year),
    )


def _places(pooled: Sequence[Line], *, name: str) -> Iterator[str]:
    """Delay, shares and gain by the place of the narrowing."""
    places = list(pooled[0].places)
    yield f"Cohort {name} by place, all seeds: delay; share by the event, 60 days after; gain. {NO_PATIENTS}"
    rows = [
        (
            f"{one.contender.name}, {one.contender.set_by}",
            _rate(one.false),
            *(
                cell
                for at in one.places.values()
                for cell in (
                    _delay(at.delay),
                    f"{_share(at.delay.by_event)} {_share(at.delay.by_60_days)}",
                    _gain(at.gain),
                )
            ),
        )
        for one in pooled
    ]
    yield from table(("rule", "false", *(cell for place in places for cell in (place, "shares", "gain"))), rows)


def _best_plain(pooled: Sequence[Line]) -> Iterator[str]:
    """In all and at each place the earliest plain rule, and the flow trend at the same rate, whichever is earlier."""
    tuned = [one for one in pooled if one.contender.set_by == "tuned"]
    ours = next(one for one in tuned if one.contender.name == "flow trend")
    plain = tuned[: tuned.index(ours)]
    for place in ("in all", *ours.places):
        best = min(plain, key=lambda one: _at(one, place).median_days)
        theirs, own = (_whole(_at(one, place).median_days) for one in (best, ours))
        winner = (
            "the plain rule is earlier" if theirs < own else "as early" if theirs == own else "the trend is earlier"
        )
        said = f"{best.contender.name} {_days(theirs)} d, the flow trend {_days(own)} d: {winner}"
        yield f"Earliest plain rule at {TUNED_TO:.2f} false flags a year, {place}: {said}."


def _whole(days: float) -> float:
    """Days as they are shown, and so compared."""
    return float(round(days)) if math.isfinite(days) else days


def _at(one: Line, place: str) -> Delay:
    return one.places[place].delay if place in one.places else one.delay


def _doubts(found: Sequence[Doubt], *, name: str) -> Iterator[str]:
    yield f"Cohort {name}, the flow trend's own doubt: share of 90 % intervals that hold the true flow. {NO_PATIENTS}"
    head = ("seed", "stable", *(f"failing, {stretch}" for stretch in STRETCHES), "Brier P(below)", "share below")
    rows = [
        (
            one.seed,
            _share(one.stable, 3),
            *(_share(share, 3) for share in one.failing.values()),
            f"{one.brier:.4f}",
            _share(one.base_rate),
        )
        for one in found
    ]
    yield from table(head, rows)
    yield ""
    yield f"Cohort {name}, P(below the limit) as stated, and how often it was so (all seeds). {NO_PATIENTS}"
    bins = [(f"{one.predicted:.2f}", f"{one.observed:.2f}", f"{one.count:,}") for one in found[-1].reliability]
    yield from table(("stated", "was so", "measurements"), bins)


def treated(found: AfterTreatment) -> Iterator[str]:
    """How the level does after an intervention."""
    yield f"After an intervention, {found.accesses:,} accesses: share of 90 % intervals that hold. {NO_PATIENTS}"
    visits = [(f"visit {visit}", _share(share, 3)) for visit, share in found.by_visit.items()]
    yield from table(("measurement after it", "held"), [*visits, ("from the second on", _share(found.from_second, 3))])


def program(found: Judged) -> Iterator[str]:
    """What the program's rules brought week by week, against the bar."""
    yield f"The program's rules ({found.protocol}) over {found.accesses} stable accesses of cohort B. {NO_PATIENTS}"
    yield "A flag is met, or is the flow trend at its cut; a question asks to repeat and examine, and is counted apart."
    yield from rule_table(found.rules)
    beyond = ", ".join(f"{rule} {count}" for rule, count in found.beyond.items())
    yield "In brackets, counted apart: flags by a limit that the access is truly beyond, which are no false ones."
    yield f"So many accesses are truly beyond the limit of {beyond}."
    flags = found.together.flags
    rate, sure = flags.per_year, f"{flags.low_per_year:.2f} to {flags.high_per_year:.2f}"
    yield f"Number-based flags together: {rate:.2f} ({sure}) a stable access-year; the bar is {BAR:.2f}: {_met(rate)}."
    month = _a_month(rate, asked=found.together.questions.per_year)
    yield f"For {ACCESSES_OF_A_CLINIC} stable accesses a month: false flags / questions {month}."


def rule_table(found: Sequence[RuleRate]) -> Iterator[str]:
    """Flags and questions an access-year by rule, with their exact 90 % intervals."""
    rows = [
        (
            one.rule if one.rule != TOGETHER else f"numbers {TOGETHER}",
            *(
                cell
                for rate in (one.flags, one.questions)
                for cell in (f"{rate.per_year:.3f}", f"{rate.low_per_year:.3f} to {rate.high_per_year:.3f}")
            ),
            str(one.accesses_flagged),
        )
        for one in found
    ]
    yield from table(("rule", "flags a year", "90 %", "questions a year", "90 %", "accesses flagged"), rows)


def _met(rate: float) -> str:
    """Whether a rate, as it is shown, is within the bar."""
    return "met" if round(rate, 2) <= BAR else "NOT met"


def _a_month(per_year: float, *, asked: float | None) -> str:
    flags, asks = (None if one is None else one * ACCESSES_OF_A_CLINIC / MONTHS for one in (per_year, asked))
    return f"{flags:.1f}" if asks is None else f"{flags:.1f} / {asks:.1f}"


def _band(low: float, high: float) -> str:
    return f"{low:.0f}-{high:.0f}" if math.isfinite(high) else f">{low:.0f}"


def _rate(one: Rate) -> str:
    return "-" if math.isnan(one.per_year) else f"{one.per_year:.3f}"


def _share(share: float, decimals: int = 2) -> str:
    return "-" if math.isnan(share) else f"{share:.{decimals}f}"


def _days(days: float) -> str:
    if math.isnan(days):
        return "-"
    return f"{days:.0f}".replace("-0", "0") if math.isfinite(days) else "never"


def _delay(one: Delay) -> str:
    if not math.isfinite(one.median_days):
        return _days(one.median_days)
    return f"{_days(one.median_days)} [{_days(one.low_days)}, {_days(one.high_days)}]"


def _gain(one: Gain) -> str:
    """A gain where both rules flag half of the accesses; else that one of them never does."""
    if math.isnan(one.days):
        return "-"
    if math.isinf(one.days):
        return "only this" if one.days > 0 else "only plain"
    return f"{_days(one.days)} [{_days(one.low_days)}, {_days(one.high_days)}]"
