"""The planner worked out into a decision tree, for a wall without a computer."""
