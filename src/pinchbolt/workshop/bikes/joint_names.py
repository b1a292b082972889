"""What a joint is called on a bike: a row of the joints table and the end, as 'rotor-6-bolt:front'."""

from pinchbolt.engines.build import Build, joints_of


def joint_names(build: Build) -> list[str]:
    """Return the names of the joints that a bike has, in the order of the table."""
    return [one.name for one in joints_of(build) if one.stands]


def joint_id(name: str) -> str:
    """Return the joints-table id of a joint's name on a bike: 'rotor-6-bolt:front' is 'rotor-6-bolt'."""
    return name.partition(":")[0]


def joint_end(name: str) -> str:
    """Return the end that a joint's name on a bike tells: front, rear or ''."""
    return name.partition(":")[2]
