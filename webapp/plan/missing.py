"""What is not planned at all yet: nothing is loose there, for nothing is there."""

from dataclasses import dataclass

from webapp.plan.results import Place, Plan


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that an episode needs and that is not begun, in a sentence, and where to begin."""

    sentence: str
    place: Place


def missing(plan: Plan) -> tuple[Missing, ...]:
    """What is to be planned yet, in the order of the work; of what waits on another of these only
    that other. What is filmed needs no day."""
    episode = plan.episode
    is_filmed = all(one.shot.filmed for one in plan.shots)
    begun = (
        (episode.garments, "There is no garment yet.", Place("draft")),
        (
            plan.steps or not episode.garments,
            "There is no step yet.",
            Place("build", part="new step"),
        ),
        (plan.shots, "There is no shot yet.", Place("shots", part="new shot")),
        (episode.shoot_days or is_filmed, "No shoot day is planned yet.", Place("days")),
        (
            episode.brief.publish_date,
            "No publish date is set yet.",
            Place("running-time", item="publish"),
        ),
    )
    return tuple(Missing(sentence, place) for there, sentence, place in begun if not there)
