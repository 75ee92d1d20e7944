package sweep_test
import ("testing";"fmt";"time";"posework/engine/sweep";"math";"math/rand/v2";"os";"strconv";"strings";"posework/engine/motion")
func TestTmp(t *testing.T){
 for _,f:=range strings.Split(os.Getenv("SEEDS"),",") {
	sd,_:=strconv.Atoi(f)
	t0:=time.Now()
	c,tr:=randomCase(t,rand.New(rand.NewPCG(uint64(sd),7)))
	if tr==nil {fmt.Println(sd,"nil plan",time.Since(t0));continue}
	fmt.Println("seed",sd,c.Arm.Name,"plan",time.Since(t0),"dur",tr.Duration)
	for i:=range tr.Pieces { p:=&tr.Pieces[i]; var b motion.Bound; ok:=p.Path.Bound(0,p.Path.Length(),&b); fmt.Printf("  kind %d len %.4g phases %d bound %v dq %.3g ddq %.3g dddq %.3g\n",p.Kind,p.Path.Length(),len(p.Law.Phases),ok,b.DQ,b.DDQ,b.DDDQ)}
	w := sweep.New(tr, sweep.Options{})
	all, moving := everything(tr)
	last:=0
	tm:=func(name string,f func() any){ t0:=time.Now(); r:=f(); d:=time.Since(t0); if d>3*time.Millisecond { fmt.Printf("%-22s %10v nodes+%d  %.150s\n",name,d, w.Nodes()-last,  fmt.Sprintf("%.6g",r)); last=w.Nodes()}}
	for axis := range 6 {
		tm(fmt.Sprint("room",axis),func()any{return w.AxisRoom(all, axis)})
		tm("speed",func()any{return w.AxisSpeed(moving, axis)})
		tm("demand",func()any{a,b:=w.AxisDemand(moving, axis); return [2]any{a,b}})
	}
	for _, a := range []sweep.Alignment{sweep.Wrist, sweep.Elbow, sweep.Shoulder} {
		tm("sing",func()any{return w.SingularityRoom(moving, a)})
	}
	tm("toolspeed",func()any{return w.ToolSpeed(moving)})
	tm("slowest",func()any{return w.SlowestTool(moving)})
	tm("pointspeed",func()any{return w.PointSpeed(moving)})
	for i := range c.Solids {
		tm("near",func()any{return w.SpeedNear(moving, i, 100)})
	}
	tm("clear",func()any{x:= w.Clearance(all, func(a, b sweep.Body) float64 { return 20 });  return len(x)})
	tm("clearinf",func()any{x:= w.Clearance(all, func(a, b sweep.Body) float64 { return math.Inf(1) });  return len(x)})
	for i := range c.Zones {
		tm("zone",func()any{return w.ZoneClearance(all, i, 0)[0]})
		tm("zonespeed",func()any{return w.ZoneSpeed(moving, i)})
	}
 }
}
