"""The coach: what one opening buys, how long the next may be, and what looks wrong.

Nothing here remembers. All of it is worked out from the job as it stands, which is the
fold of its facts, so a job that was killed goes on with all that was learned.

``belief`` is the sum, ``priors`` what is believed before anything was seen,
``hand`` how late the hand is, ``moments`` what the readings between two openings come
to, ``learning`` the belief after the openings so far; ``planning`` sizes the next
opening, ``watching`` looks on while it is open, ``settling`` says how long to wait,
``guards`` what to stop for, and ``telling`` what is said of it.
"""
