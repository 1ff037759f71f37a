"""Sentences, advice and cautions that several commands share."""
