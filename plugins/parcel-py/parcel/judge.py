"""What rules are written with: figures with their ranges, verdicts, findings."""

import math
import re
from decimal import Decimal

from slipfit.v1 import check_service_pb2, fact_pb2, finding_pb2

# The verdicts in the order in which a pack counts them.
VERDICTS = (
    finding_pb2.VERDICT_PASS,
    finding_pb2.VERDICT_MARGINAL,
    finding_pb2.VERDICT_UNKNOWN,
    finding_pb2.VERDICT_FAIL,
)
# How far a published length may be off where neither the part nor a policy says.
LENGTH_TOLERANCE = "tolerance.length_mm"

_KEYS = {1: "pass", 2: "marginal", 3: "unknown", 4: "fail"}
_DECIMALS = {"mm": 1, "kg": 2}


class Value:
    """A number with its range and unit, what it came from, and what it lacks."""

    def __init__(self, nominal=0.0, low=None, high=None, unit="", inputs=(), missing=(), missing_facts=()):
        self.nominal = nominal
        self.low = nominal if low is None else low
        self.high = nominal if high is None else high
        self.unit = unit
        self.inputs, self.missing, self.missing_facts = list(inputs), list(missing), list(missing_facts)

    def known(self):
        """Whether nothing is missing."""
        return not self.missing and not self.missing_facts

    def quantity(self):
        """The number as the contract has it."""
        return finding_pb2.Quantity(nominal=self.nominal, low=self.low, high=self.high, unit=self.unit)


def derived(nominal, low, high, unit, *parts):
    """A value worked out from others: it lacks whatever they lack."""
    return Value(
        nominal, low, high, unit,
        inputs=[i for p in parts for i in p.inputs],
        missing=[m for p in parts for m in p.missing],
        missing_facts=[m for p in parts for m in p.missing_facts],
    )


def total(unit, *parts):
    """The sum of values of one unit."""
    ends = [0.0, 0.0, 0.0]
    for p in parts:
        ends = [ends[0] + p.nominal, ends[1] + p.low, ends[2] + p.high]
    return derived(*ends, unit, *parts)


class Case:
    """One check: the request, and what other packs worked out."""

    def __init__(self, task):
        self.request = check_service_pb2.CheckRequest.FromString(task.check)
        self.facts = {f.name: f.value for f in task.facts}

    def first(self, kind):
        """The first item whose part is of a kind, with the path of its part."""
        for n, item in enumerate(self.request.build.items):
            if item.part.WhichOneof("kind") == kind:
                return item, f"items[{n}].part."
        return None, None

    def fact(self, name):
        """What another pack worked out, or None."""
        encoded = self.facts.get(name)
        return None if encoded is None else fact_pb2.Fact.FromString(encoded)

    def number(self, parameter):
        """A parameter's number: the policy's, else its default."""
        for set_ in self.request.policy:
            if set_.parameter == parameter.name:
                return set_.value
        return parameter.default

    def parameter(self, parameter):
        """A parameter as a value."""
        v = Value(self.number(parameter), unit=parameter.unit)
        v.inputs = [_input("policy." + parameter.name, v)]
        return v

    def length(self, item, path, field, tolerance):
        """A length of a part in mm, with its own tolerance or the policy's."""
        part = item.part
        for name in field.split(".")[:-1]:
            part = getattr(part, name)
        last = field.rsplit(".", 1)[-1]
        if not part.HasField(last):
            return Value(unit="mm", missing=[path + field])
        number = getattr(part, last)
        minus = plus = self.number(tolerance)
        for figure in item.part.figures:
            stated = figure.HasField("minus") or figure.HasField("plus")
            if stated and field in figure.fields:
                minus, plus = figure.minus, figure.plus
        v = Value(number, number - minus, number + plus, "mm")
        v.inputs = [_input(path + field, v)]
        return v


def _input(path, value):
    return finding_pb2.Input(path=path, value=value.quantity())


class Source:
    """Where a requirement or a number comes from."""

    def __init__(self, id, title, standing):
        self.id, self.title, self.standing = id, title, standing

    def message(self):
        """The source as the contract has it."""
        return finding_pb2.Source(id=self.id, title=self.title, standing=self.standing)


COMMON_PRACTICE = Source("common-practice", "custom of the trade", "common practice, no source")


class Parameter:
    """A number that a policy may set."""

    def __init__(self, name, unit, default, least, greatest, purpose, source):
        self.name, self.unit, self.default = name, unit, default
        self.least, self.greatest, self.purpose, self.source = least, greatest, purpose, source

    def message(self):
        """The parameter as the contract has it."""
        return finding_pb2.Parameter(
            name=self.name, unit=self.unit, default_value=self.default, least=self.least,
            greatest=self.greatest, purpose=self.purpose, source=self.source.message(),
        )


class Rule:
    """One requirement. judge(case) returns findings made with at_most."""

    def __init__(self, id, title, since, why, formula, sources, judge,
                 parameters=(), reads=(), uses_facts=(), texts=None, remedies=None, cautions=None):
        self.id, self.title, self.since, self.why, self.formula = id, title, since, why, formula
        self.sources, self.judge, self.parameters = sources, judge, parameters
        self.reads, self.uses_facts = reads, uses_facts
        self.texts, self.remedies, self.cautions = texts or {}, remedies or {}, cautions or {}

    def describe(self, pack):
        """The rule as the contract publishes it."""
        templates = [
            finding_pb2.Template(key=f"{self.id}.{prefix}{key}", text=texts[key])
            for prefix, texts in (("", self.texts), ("remedy.", self.remedies), ("caution.", self.cautions))
            for key in sorted(texts)
        ]
        return finding_pb2.Rule(
            id=self.id, title=self.title, why=self.why, formula=self.formula, since=self.since,
            parameters=[p.message() for p in self.parameters], sources=[s.message() for s in self.sources],
            reads=self.reads, uses_facts=self.uses_facts, pack=pack.name, version=pack.version,
            templates=templates,
        )

    def judge_safely(self, pack, case):
        """The rule's findings; one that breaks is UNKNOWN and takes no other along."""
        try:
            return [found.message(pack, self) for found in self.judge(case)]
        except Exception as broken:
            reason = str(broken)
            return [self.head(pack, finding_pb2.Finding(
                verdict=finding_pb2.VERDICT_UNKNOWN,
                summary=finding_pb2.Message(
                    key="kit.rule-broken",
                    arguments=[finding_pb2.Argument(name="reason", value=finding_pb2.Quantity(word=reason))],
                    text=f"This rule broke while it judged, so nothing is known: {reason}.",
                ),
            ))]

    def head(self, pack, finding):
        """Fills in what every finding of the rule says."""
        finding.rule, finding.pack, finding.version = self.id, pack.name, pack.version
        finding.formula.key, finding.formula.text = self.id + ".formula", self.formula
        finding.sources.extend(s.message() for s in self.sources)
        return finding


class AtMost:
    """The finding that a measured value stays at or below a limit."""

    def __init__(self, measured, required, about, remedy=None, caution=None):
        self.measured, self.required, self.about = measured, required, about
        self.remedy, self.caution = remedy, caution
        self.margin = Value(unit=measured.unit)
        self.verdict = finding_pb2.VERDICT_UNKNOWN
        if measured.known() and required.known():
            self.margin = Value(
                required.nominal - measured.nominal, required.low - measured.high,
                required.high - measured.low, measured.unit,
            )
            self.verdict = verdict_of(self.margin)

    def message(self, pack, rule):
        """The finding as the contract has it."""
        out = finding_pb2.Finding(
            subjects=[self.about], verdict=self.verdict, relation=finding_pb2.RELATION_AT_MOST,
            missing=_once(self.measured.missing + self.required.missing),
            missing_facts=_once(self.measured.missing_facts + self.required.missing_facts),
        )
        for name, value in (("measured", self.measured), ("required", self.required)):
            if value.known():
                getattr(out, name).CopyFrom(value.quantity())
        if self.measured.known() and self.required.known():
            out.margin.CopyFrom(self.margin.quantity())
        seen = set()
        for i in self.measured.inputs + self.required.inputs:
            if i.path not in seen:
                seen.add(i.path)
                out.inputs.append(i)
        key = _KEYS[self.verdict]
        if key not in rule.texts and key == "marginal":
            key = "pass"
        self._fill(out.summary, f"{rule.id}.{key}", rule.texts[key])
        if self.remedy and self.verdict in (finding_pb2.VERDICT_FAIL, finding_pb2.VERDICT_MARGINAL):
            remedy = out.remedies.add()
            self._fill(remedy.action, f"{rule.id}.remedy.{self.remedy}", rule.remedies[self.remedy])
            remedy.change.CopyFrom(self._shortfall().quantity())
        if self.caution:
            self._fill(out.caution, f"{rule.id}.caution.{self.caution}", rule.cautions[self.caution])
        return rule.head(pack, out)

    def _shortfall(self):
        """What the unfavourable end of the margin is short of."""
        return Value(max(0.0, -self.margin.low), unit=self.margin.unit)

    def _fill(self, message, key, template):
        """Writes a text and the arguments that fill it."""
        message.key = key
        values = {
            "measured": self.measured, "required": self.required,
            "margin": self.margin, "shortfall": self._shortfall(),
        }

        def fill(match):
            argument = message.arguments.add(name=match[1])
            if match[1] == "missing":
                argument.value.word = self._missing_words()
                return argument.value.word
            value = values[match[1]]
            argument.value.CopyFrom(value.quantity())
            return number(value.nominal, value.unit)

        message.text = re.sub(r"\{([^}]+)\}", fill, template)

    def _missing_words(self):
        """What is missing, without the items' places."""
        fields = [re.sub(r"^items\[\d+\]\.part\.", "", m) for m in self.measured.missing + self.required.missing]
        return ", ".join(_once(fields + self.measured.missing_facts + self.required.missing_facts))


def _once(words):
    return list(dict.fromkeys(words))


def verdict_of(margin):
    """PASS where the whole range holds, MARGINAL where the nominal value does."""
    if margin.nominal < 0:
        return finding_pb2.VERDICT_FAIL
    if margin.low < 0:
        return finding_pb2.VERDICT_MARGINAL
    return finding_pb2.VERDICT_PASS


def number(value, unit):
    """A number as people read it: rounded to what the unit is measured to."""
    scale = 10.0 ** _DECIMALS.get(unit, 2)
    scaled = value * scale
    whole = math.trunc(scaled)
    if abs(scaled - whole) >= 0.5:  # halves go away from zero
        whole += int(math.copysign(1, scaled))
    rounded = whole / scale
    text = format(Decimal(repr(rounded)), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in ("-0", ""):
        text = "0"
    return f"{text} {unit}" if unit else text
