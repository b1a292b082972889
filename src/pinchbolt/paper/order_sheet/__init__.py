"""An order on paper: to be sent, or read out on the phone."""
