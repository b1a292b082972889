"""The estimate: lines by verdict, what they cost now and if left, and the owner's answer to each."""
