"""The walk-round: the readings this bike has, place by place along the bike."""
