"""From a recording to timed words and captions; the recogniser is the optional extra ``linewright[hear]``."""
