"""The rules: how large and how heavy the machine is once it is packed."""

from . import judge
from .judge import COMMON_PRACTICE, AtMost, Parameter, Rule, Source, Value, derived, total
from .service import Pack

ASSEMBLY = "mounting.assembly"

# What the parcels of all postal services that belong to the Universal Postal Union may
# be. A carrier may set other limits: they are parameters.
POSTAL = Source(
    "upu-parcels",
    "Universal Postal Union, parcel post regulations, limits of size and weight",
    "from memory",
)

LENGTH_TOLERANCE = Parameter(
    judge.LENGTH_TOLERANCE, "mm", 0.5, 0, 20,
    "How far a published length may be off both ways where the document states no tolerance.", COMMON_PRACTICE,
)
GIRTH_LIMIT = Parameter(
    "parcel.girth.limit_mm", "mm", 3000, 100, 20000,
    "What the longest side and the girth round the other two may come to together.", POSTAL,
)
PADDING = Parameter(
    "parcel.girth.padding_mm", "mm", 50, 0, 500,
    "How much packing lies round the machine on every side.", COMMON_PRACTICE,
)
MASS_LIMIT = Parameter("parcel.mass.limit_kg", "kg", 20, 0.1, 100, "What the parcel may weigh.", POSTAL)
PACKING = Parameter("parcel.mass.packing_kg", "kg", 1.5, 0, 50, "What the packing weighs.", COMMON_PRACTICE)

SIDES = ("chassis.width_mm", "chassis.height_mm", "chassis.depth_mm")


def judge_girth(case):
    """Compares the longest side and twice the other two with the limit."""
    chassis, path = case.first("chassis")
    if chassis is None:
        return []
    sides = [case.length(chassis, path, field, LENGTH_TOLERANCE) for field in SIDES]
    pad = case.parameter(PADDING)
    ends = [
        length_and_girth(getattr(pad, end), *(getattr(side, end) for side in sides))
        for end in ("nominal", "low", "high")
    ]
    size = derived(*ends, "mm", *sides, pad)
    return [AtMost(size, case.parameter(GIRTH_LIMIT), chassis.id, remedy="smaller")]


def length_and_girth(pad, *sides):
    """The longest side and twice the other two, each with packing at both ends."""
    a, b, c = (side + 2 * pad for side in sides)
    return 2 * (a + b + c) - max(a, b, c)


def judge_mass(case):
    """Compares what the machine and its packing weigh with the limit."""
    chassis, _ = case.first("chassis")
    if chassis is None:
        return []
    mass = total("kg", machine_mass(case), case.parameter(PACKING))
    return [AtMost(mass, case.parameter(MASS_LIMIT), chassis.id, remedy="apart", caution="loose")]


def machine_mass(case):
    """What the mounting pack found. Where it could not tell, its fact is missing."""
    fact = case.fact(ASSEMBLY)
    if fact is None or not fact.assembly.HasField("mass_g"):
        return Value(unit="kg", missing_facts=[ASSEMBLY])
    return Value(fact.assembly.mass_g / 1000, unit="kg")


GIRTH = Rule(
    id="parcel.girth", title="Length and girth of the parcel", since="1.0.0",
    why="A parcel that is too long or too thick is turned away at the counter, or costs freight.",
    formula="Margin is the limit, less the longest side of the packed machine and twice the other two.",
    sources=[POSTAL], reads=SIDES, parameters=[GIRTH_LIMIT, PADDING, LENGTH_TOLERANCE], judge=judge_girth,
    texts={
        "pass": "Packed, the machine measures {measured} in length and girth; a parcel may measure {required}.",
        "fail": "Packed, the machine measures {measured} in length and girth, and a parcel may measure {required}.",
        "unknown": "Whether the packed machine is a parcel cannot be told without {missing}.",
    },
    remedies={
        "smaller": "Choose an enclosure whose length and girth are {shortfall} less, pack it tighter, or send it as freight.",
    },
)

MASS = Rule(
    id="parcel.mass", title="Mass of the parcel", since="1.0.0",
    why="A parcel that is too heavy is turned away at the counter, and one that was declared too light may be returned.",
    formula="Margin is the limit, less the mass of the machine, as the mounting pack works it out, and of its packing.",
    sources=[POSTAL], uses_facts=[ASSEMBLY], parameters=[MASS_LIMIT, PACKING], judge=judge_mass,
    texts={
        "pass": "The parcel weighs {measured}; it may weigh {required}.",
        "fail": "The parcel weighs {measured}, and it may weigh {required}.",
        "unknown": "What the parcel weighs cannot be told without {missing}; weigh the machine, or state the masses of its parts.",
    },
    remedies={"apart": "Send {shortfall} of it in a parcel of its own, or send it as freight."},
    cautions={"loose": "Take out heavy cards and tall coolers before the machine is sent: they break loose on the way."},
)

PARCEL = Pack(
    name="parcel", version="1.0.0",
    purpose="It tells whether the finished machine can be sent by post once it is packed.",
    needs=[ASSEMBLY], wants=[ASSEMBLY], rules=[GIRTH, MASS],
)
