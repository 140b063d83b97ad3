"""What a musician knows: pitches, intervals, keys, forms, note values. Pure; standard library only."""
