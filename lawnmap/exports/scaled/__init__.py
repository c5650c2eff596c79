"""The plan at true scale: a drawing in millimetres of paper."""
