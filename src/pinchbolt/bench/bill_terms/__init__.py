"""What bills and askings follow: address, tax by class from a day, how long prices hold, words at the foot, paper."""
