width=1800 height=1350 focus=420 blur=62 seed=31 exposure=1
