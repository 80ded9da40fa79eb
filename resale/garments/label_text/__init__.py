"""What a label says, read off a photo: which words are of fibres, which of care, and how sure."""
