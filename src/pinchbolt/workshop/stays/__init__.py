"""One stay from check-in to work done: readings and findings, lines, their price, the owner's answers, the job card."""
