"""What is worked out of a fitment beside its verdict, topic by topic, each figure with what explains it."""
