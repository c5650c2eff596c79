"""What is seen in a browser: HTML, CSS, JavaScript, words, the one escape, the hashes."""
