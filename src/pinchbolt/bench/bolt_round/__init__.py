"""The bolt round of a bike: joints tried again, one tap each."""
