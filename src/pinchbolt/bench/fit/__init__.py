"""Does it fit, asked in words: the answer of the rule that is meant, and which part fits a bike."""
