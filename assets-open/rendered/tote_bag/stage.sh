width=1200 height=1600 focus=1390 blur=30 seed=33 exposure=1 fine=0
python3 "$here/tote_bag/obj_to_mesh2.py" "$here/../meshes/tote.obj" "$work/bag.inc"
