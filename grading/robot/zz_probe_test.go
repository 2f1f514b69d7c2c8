package robot_test
import ("testing";"fmt";"time";"faultloom/scenarios";"faultloom/sim/fault";"faultloom/sim/attempt";"faultloom/sim/meter";"faultloom/grading")
type memory struct{}
func (memory) Append([]byte) error { return nil }
func TestZZ(t *testing.T){
 lib,_:=scenarios.LoadAll(scenarios.Builtin())
 for _,hf:=range lib.Harnesses{h:=hf.Harness
  cat:=fault.Catalogue(h)
  ex:=attempt.Exercise{ID:"x",Harness:h,Tools:meter.Tools(),Functions:meter.Functions()}
  m,err:=attempt.NewModel(ex); if err!=nil{t.Fatal(err)}
  t0:=time.Now(); n:=0
  for _,e:=range cat{ if err:=m.Suppose(e.Fault);err!=nil{t.Log(err);break}; n++}
  fmt.Println(h.ID," suppose each",time.Since(t0)/time.Duration(n))
  t0=time.Now()
  for i:=0;i<1000;i++{ m.Between(h.Points()[i%len(h.Points())],"body")}
  fmt.Println("  between",time.Since(t0)/1000)
  mm:=m.Machine()
  ps:=h.Points()
  t0=time.Now()
  for i:=0;i<1000;i++{ mm.Thevenin(ps[i%len(ps)],"body")}
  fmt.Println("  thev",time.Since(t0)/1000)
  t0=time.Now(); n=0
  for _,e:=range cat{ 
   m.Suppose(e.Fault);
   for _,l:=range h.Check { mm.Rest(); for _,s:=range l.Set{mm.Operate(s.Control,s.Position)}; mm.Hold(3);n++}
  }
  fmt.Println("  operate+hold",time.Since(t0)/time.Duration(n))
  t0=time.Now(); n=0
  m.Suppose(cat[0].Fault)
  sn:=mm.Snapshot()
  for i:=0;i<200;i++{ 
   mm.Restore(sn)
   for _,l:=range h.Check { mm.Rest(); for _,s:=range l.Set{mm.Operate(s.Control,s.Position)}; mm.Settle();n++}
  }
  fmt.Println("  operate+settle same fault",time.Since(t0)/time.Duration(n))
  ex.Faults=[]fault.Fault{cat[len(cat)/3].Fault}
  a,_:=attempt.Start(ex,memory{})
  for n,l:=range h.Check { for _,s:=range l.Set{a.Do(attempt.Operate{Control:s.Control,Position:s.Position})}; a.Do(attempt.Mark{Line:n})}
  t0=time.Now()
  e,err:=grading.Weigh(ex,a.Records(),0)
  if err!=nil{t.Fatal(err)}
  fmt.Println("  weigh check",time.Since(t0), e.Steps[len(e.Steps)-1])
 }
}
