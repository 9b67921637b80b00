width=1350 height=1800 focus=640 blur=66 seed=32 exposure=1
