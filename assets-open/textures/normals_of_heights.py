import sys
def read(p):
    d=open(p,'rb').read(); parts=d.split(maxsplit=4) if False else None
    i=0; tok=[]
    while len(tok)<4:
        while d[i:i+1].isspace(): i+=1
        j=i
        while not d[j:j+1].isspace(): j+=1
        tok.append(d[i:j]); i=j
    w,h=int(tok[1]),int(tok[2]); px=d[i+1:]
    return w,h,px
src,dst,k=sys.argv[1],sys.argv[2],float(sys.argv[3])
w,h,p=read(src)
out=bytearray()
for y in range(h):
    up=((y-1)%h)*w; dn=((y+1)%h)*w; r=y*w
    for x in range(w):
        xl=(x-1)%w; xr=(x+1)%w
        dx=(p[r+xr]-p[r+xl]+.5*(p[up+xr]-p[up+xl]+p[dn+xr]-p[dn+xl]))/2/255*k
        dy=(p[up+x]-p[dn+x]+.5*(p[up+xl]-p[dn+xl]+p[up+xr]-p[dn+xr]))/2/255*k
        n=(dx*dx+dy*dy+1)**-.5
        out+=bytes((int(round(127.5-127.5*dx*n)),int(round(127.5-127.5*dy*n)),int(round(127.5+127.5*n))))
open(dst,'wb').write(b'P6\n%d %d\n255\n'%(w,h)+out)
