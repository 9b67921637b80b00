// tote_bag.pov - a cotton tote bag on a peg of an oak rail before a limewashed wall, a window to the left.
// The bag is ../../meshes/tote.obj (mm, y up, z to the viewer; here z is reversed), brought in by obj_to_mesh2.py.
// Unbleached cotton, mean reflectance <0.74, 0.672, 0.55>, plain weave of 1.3 mm a thread.
#version 3.7;
#declare PhotoHeight = 1600;
#declare FocalPx = 2773;           // 60 mm equivalent, by the diagonal
#declare Pitch = 4;
#declare Yaw = 11;                 // of rail, wall and bag together, about the bag's upright middle line
#declare Target = <10, 352, 0>;
#declare Distance = 1390;
#include "stage.inc"

Window(<-1800, 1250, -960>, <0, 300, 0>, 620, 820, <1.00, 0.985, 0.96> * 1.22)
Room(<0.15, 0.145, 0.14>, <0.20, 0.20, 0.20>, <0.29, 0.295, 0.31>)

#declare Set = transform { rotate y * Yaw }

#declare Canvas = texture {
  pigment { uv_mapping image_map { jpeg "cotton.jpg" interpolate 2 } scale 166 / 1200 }
  normal { uv_mapping bump_map { jpeg "weave_height.jpg" bump_size 1.25 interpolate 2 } scale 166 / 1200 }
}
#include "bag.inc"

// Seams: stitches laid on the cloth where a ray from the viewer meets it.
#declare Thread = texture { pigment { rgb <0.80, 0.74, 0.62> } }
#macro Stitch(A, B)
  #local NA = <0, 0, 0>; #local NB = <0, 0, 0>;
  #local PA = trace(Bag, A - z * 300, z, NA);
  #local PB = trace(Bag, B - z * 300, z, NB);
  #if (vlength(NA) > 0 & vlength(NB) > 0 & vlength(PA - PB) < 6)
    sphere { PA - z * 0.05, 0.36 }
    cylinder { PA - z * 0.05, PB - z * 0.05, 0.36 }
    sphere { PB - z * 0.05, 0.36 }
  #end
#end
#macro Seam(A, B)
  #local Long = vlength(B - A);
  #local Count = floor(Long / 3.6);
  #local I = 0;
  #while (I < Count)
    Stitch(A + (B - A) * (I + 0.14) / Count, A + (B - A) * (I + 0.80) / Count)
    #local I = I + 1;
  #end
#end
union {
  object { Bag }
  union {
    // Along the hem, a cubic through the droop of the mouth.
    #declare N = -30;
    #while (N < 30)
      #declare A = N / 30; #declare B = (N + 1) / 30;
      #macro HemY(S) (420 - 27.2 - 7.5 * (abs(S) < 0.35 ? 0 : pow((abs(S) - 0.35) / 0.65, 2) * (3 - 2 * (abs(S) - 0.35) / 0.65)) - 3 * exp(-pow(S / 0.26, 2))) #end
      #if (abs(abs(189 * A + 3.15) - 78) > 14) Seam(<189 * A, HemY(A), 0>, <189 * B, HemY(B), 0>) #end
      #declare N = N + 1;
    #end
    // A crossed square on each sewn end of the handle.
    #declare N = -1;
    #while (N < 2)
      #declare X = 78 * N;
      Seam(<X - 9.5, 387.6, 0>, <X + 9.5, 387.6, 0>)
      Seam(<X - 9.5, 410, 0>, <X + 9.5, 410, 0>)
      Seam(<X - 9.5, 387.6, 0>, <X - 9.5, 410, 0>)
      Seam(<X + 9.5, 387.6, 0>, <X + 9.5, 410, 0>)
      Seam(<X - 9.5, 387.6, 0>, <X + 9.5, 410, 0>)
      Seam(<X - 9.5, 410, 0>, <X + 9.5, 387.6, 0>)
      #declare N = N + 2;
    #end
    texture { Thread }
  }
  transform { Set }
  #if (Pass != 1) no_image #end
}

#declare Limewash = texture {
  pigment { image_map { jpeg "plaster.jpg" interpolate 2 } scale 880 translate <-300, 120, 0> }
  normal { bump_map { jpeg "plaster_height.jpg" bump_size 2.5 interpolate 2 } scale 880 translate <-300, 120, 0> }
  finish { diffuse 0.98 }
}
plane { -z, -58 Around(Limewash) transform { Set } }

#macro Oak(Turn, Shift)
  texture {
    pigment { image_map { jpeg "oak.jpg" interpolate 2 } scale 300 rotate Turn translate Shift }
    normal { bump_map { jpeg "oak_height.jpg" bump_size 1 interpolate 2 } scale 300 rotate Turn translate Shift }
    finish { specular 0.05 roughness 0.08 }
  }
#end
#macro Wooden(Turn, Shift)
  #if (Pass = 2) texture { DepthTexture } #else Oak(Turn, Shift) #end
  #if (Pass = 1) no_image #end
#end
#declare PegY = 660.6;
superellipsoid { <0.05, 0.05> scale <1500, 38, 10> translate <0, PegY, 48> Wooden(<0, 0, 0>, <40, 20, 0>) transform { Set } }
#declare N = -2;
#while (N < 3)
  lathe {
    cubic_spline 9
    <9, -4>, <13, 0>, <10.5, 8>, <10.5, 60>, <12, 66>, <17.5, 73>, <12, 82.5>, <0, 84>, <-12, 82.5>
    rotate -x * 90
    translate <N * 255, PegY, 39>
    Wooden(<0, 90, 0>, <N * 70, 30, 0>)
    transform { Set }
  }
  #declare N = N + 1;
#end
