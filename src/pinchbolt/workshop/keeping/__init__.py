"""Safe keeping: everything held of one owner, erasing an owner, everything out and in again, lists taken in."""
