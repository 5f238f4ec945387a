"""The garment draft: pieces are recipes of shaping moves, computed from a body's measurements."""
