"""What if: a question put to a fitment, other gases side by side, and the answer in words."""
