"""Pages with pictures, words, scales and keys in their places."""
