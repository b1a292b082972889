"""How an estimate and a torque sheet were worked out, printed on request."""
