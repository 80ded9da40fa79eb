"""The Evidence and the Rule book."""
