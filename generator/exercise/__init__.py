"""From a request to bars of notes: figures, spans, fitting, rhythms, articulations. Pure."""
