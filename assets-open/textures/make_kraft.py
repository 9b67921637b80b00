import random, math, sys
random.seed(7)
S=1024
out=[f'<svg xmlns="http://www.w3.org/2000/svg" width="{S}" height="{S}" viewBox="0 0 {S} {S}"><rect width="{S}" height="{S}" fill="#a9865c"/>']
def blob():
    r=random.uniform(30,140); x=random.uniform(0,S); y=random.uniform(0,S); c=random.choice(['#b8956a','#98764e']); 
    for dx in(-S,0,S):
        for dy in(-S,0,S):
            if -r<x+dx<S+r and -r<y+dy<S+r:
                out.append(f'<ellipse cx="{x+dx:.1f}" cy="{y+dy:.1f}" rx="{r*1.6:.1f}" ry="{r*.7:.1f}" fill="url(#g{c[1:]})"/>')
out.append('<defs>'+''.join(f'<radialGradient id="g{c}"><stop offset="0" stop-color="#{c}" stop-opacity=".12"/><stop offset="1" stop-color="#{c}" stop-opacity="0"/></radialGradient>' for c in('b8956a','98764e'))+'</defs>')
for _ in range(260): blob()
for _ in range(9000):
    l=random.expovariate(1/16)+4; a=random.gauss(0,0.55); x=random.uniform(0,S); y=random.uniform(0,S)
    dark=random.random()<.5; c='#6f5233' if dark else '#d0b288'; o=random.uniform(.05,.28) if random.random()<.93 else random.uniform(.3,.6); w=random.uniform(.6,1.7)
    b=random.uniform(-.4,.4)*l
    x2=x+l*math.cos(a); y2=y+l*math.sin(a); mx=(x+x2)/2-b*math.sin(a); my=(y+y2)/2+b*math.cos(a)
    for dx in(-S,0,S):
        for dy in(-S,0,S):
            if -l<x+dx<S+l and -l<y+dy<S+l:
                out.append(f'<path d="M{x+dx:.1f} {y+dy:.1f}Q{mx+dx:.1f} {my+dy:.1f} {x2+dx:.1f} {y2+dy:.1f}" stroke="{c}" stroke-opacity="{o:.2f}" stroke-width="{w:.1f}" fill="none"/>')
out.append('</svg>')
open('kraft.svg','w').write('\n'.join(out))
