0000000000143420 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE>:
  143420:	push   %rbp
  143421:	push   %r15
  143423:	push   %r14
  143425:	push   %r13
  143427:	push   %r12
  143429:	push   %rbx
  14342a:	sub    $0x9c8,%rsp
  143431:	test   %rsi,%rsi
  143434:	je     143ef0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xad0>
  14343a:	vbroadcastsd -0x109e14(%rip),%zmm8        # 39630 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x98>
  143444:	vbroadcastsd -0x109f9e(%rip),%zmm9        # 394b0 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0xa8>
  14344e:	vxorpd %xmm10,%xmm10,%xmm10
  143453:	vbroadcastsd -0x10a085(%rip),%zmm11        # 393d8 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x108>
  14345d:	vmovdqa64 -0x108b27(%rip),%zmm13        # 3a940 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x480>
  143467:	vbroadcastsd -0x109ed1(%rip),%zmm15        # 395a0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x8>
  143471:	vbroadcastsd -0x10998b(%rip),%zmm16        # 39af0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x360>
  14347b:	vbroadcastsd -0x10a065(%rip),%zmm17        # 39420 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0x18>
  143485:	vbroadcastsd -0x109bef(%rip),%zmm18        # 398a0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x110>
  14348f:	vbroadcastsd -0x10a221(%rip),%zmm19        # 39278 <anon.4cc6f184b462f47d040cdbafeecd1410.103.llvm.13354268805348168260+0x50>
  143499:	vbroadcastsd -0x109eeb(%rip),%zmm20        # 395b8 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x20>
  1434a3:	vbroadcastsd -0x109a85(%rip),%zmm21        # 39a28 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x298>
  1434ad:	vbroadcastsd -0x109c0f(%rip),%zmm22        # 398a8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x118>
  1434b7:	vbroadcastsd -0x109cd9(%rip),%zmm23        # 397e8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x58>
  1434c1:	vbroadcastsd -0x1099d3(%rip),%zmm24        # 39af8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x368>
  1434cb:	vbroadcastsd -0x109c8d(%rip),%zmm25        # 39848 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0xb8>
  1434d5:	vbroadcastsd -0x109f1f(%rip),%zmm26        # 395c0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x28>
  1434df:	vbroadcastsd -0x109a49(%rip),%zmm27        # 39aa0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x310>
  1434e9:	vbroadcastsd -0x10a273(%rip),%zmm28        # 39280 <anon.4cc6f184b462f47d040cdbafeecd1410.103.llvm.13354268805348168260+0x58>
  1434f3:	vbroadcastsd -0x109acd(%rip),%zmm29        # 39a30 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x2a0>
  1434fd:	vbroadcastsd -0x10a0df(%rip),%zmm30        # 39428 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0x20>
  143507:	vbroadcastsd -0x10a399(%rip),%zmm31        # 39178 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x428>
  143511:	jmp    14352e <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x10e>
  143513:	data16 data16 data16 cs nopw 0x0(%rax,%rax,1)
  143520:	mov    0x38(%rsp),%rdi
  143525:	test   %rsi,%rsi
  143528:	je     143ef0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xad0>
  14352e:	cmp    $0x4,%rsi
  143532:	mov    $0x4,%eax
  143537:	cmovb  %rsi,%rax
  14353b:	test   %rdi,%rdi
  14353e:	je     143ef0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xad0>
  143544:	mov    %eax,%ecx
  143546:	shl    $0x9,%ecx
  143549:	add    %rdi,%rcx
  14354c:	mov    %rcx,0x38(%rsp)
  143551:	sub    %rax,%rsi
  143554:	vmovupd %zmm8,0x1c8(%rsp)
  14355f:	vmovupd %zmm8,0x208(%rsp)
  14356a:	vmovupd %zmm8,0x248(%rsp)
  143575:	vmovupd %zmm8,0x288(%rsp)
  143580:	vmovupd %zmm8,0x2c8(%rsp)
  14358b:	vmovupd %zmm8,0x308(%rsp)
  143596:	vmovupd %zmm8,0x348(%rsp)
  1435a1:	vmovupd %zmm8,0x388(%rsp)
  1435ac:	vmovupd %zmm8,0x3c8(%rsp)
  1435b7:	vmovupd %zmm8,0x408(%rsp)
  1435c2:	vmovupd %zmm8,0x448(%rsp)
  1435cd:	vmovupd %zmm8,0x488(%rsp)
  1435d8:	vmovupd %zmm8,0x4c8(%rsp)
  1435e3:	vmovupd %zmm8,0x508(%rsp)
  1435ee:	vmovupd %zmm8,0x548(%rsp)
  1435f9:	vmovupd %zmm8,0x588(%rsp)
  143604:	vmovupd %zmm8,0x5c8(%rsp)
  14360f:	vmovupd %zmm8,0x608(%rsp)
  14361a:	vmovupd %zmm8,0x648(%rsp)
  143625:	vmovupd %zmm8,0x688(%rsp)
  143630:	vmovupd %zmm8,0x6c8(%rsp)
  14363b:	vmovupd %zmm8,0x708(%rsp)
  143646:	vmovupd %zmm8,0x748(%rsp)
  143651:	vmovupd %zmm8,0x788(%rsp)
  14365c:	vmovupd %zmm8,0x7c8(%rsp)
  143667:	vmovupd %zmm8,0x808(%rsp)
  143672:	vmovupd %zmm8,0x848(%rsp)
  14367d:	vmovupd %zmm8,0x888(%rsp)
  143688:	vmovupd %zmm8,0x8c8(%rsp)
  143693:	vmovupd %zmm8,0x908(%rsp)
  14369e:	vmovupd %zmm8,0x948(%rsp)
  1436a9:	vmovupd %zmm8,0x988(%rsp)
  1436b4:	vmovupd %zmm10,0x180(%rsp)
  1436bc:	vmovupd %zmm10,0x140(%rsp)
  1436c4:	vmovupd %zmm10,0x100(%rsp)
  1436cc:	vmovupd %zmm10,0xc0(%rsp)
  1436d4:	mov    %rax,0x10(%rsp)
  1436d9:	shl    $0x9,%rax
  1436dd:	add    %rdi,%rax
  1436e0:	xor    %r12d,%r12d
  1436e3:	xor    %ecx,%ecx
  1436e5:	mov    %rdi,0x18(%rsp)
  1436ea:	mov    %rdi,%rdx
  1436ed:	nopl   (%rax)
  1436f0:	vmovupd (%rdx),%zmm0
  1436f6:	vmovupd 0x40(%rdx),%zmm1
  1436fd:	vmovupd 0x80(%rdx),%zmm2
  143704:	vmovupd 0xc0(%rdx),%zmm3
  14370b:	vsubpd %zmm0,%zmm9,%zmm4
  143711:	vsubpd %zmm1,%zmm9,%zmm5
  143717:	vsubpd %zmm2,%zmm9,%zmm6
  14371d:	vsubpd %zmm3,%zmm9,%zmm7
  143723:	vmulpd %zmm4,%zmm0,%zmm0
  143729:	vmulpd %zmm5,%zmm1,%zmm1
  14372f:	vmulpd %zmm6,%zmm2,%zmm2
  143735:	vmulpd %zmm7,%zmm3,%zmm3
  14373b:	vcmpltpd %zmm11,%zmm0,%k4
  143742:	vcmpltpd %zmm11,%zmm1,%k3
  143749:	vcmpltpd %zmm11,%zmm2,%k2
  143750:	vcmpltpd %zmm11,%zmm3,%k1
  143757:	kmovw  %k1,0x8(%rsp)
  14375d:	vmovupd 0x100(%rdx),%zmm0
  143764:	vmovupd 0x140(%rdx),%zmm1
  14376b:	vmovupd 0x180(%rdx),%zmm2
  143772:	vmovupd 0x1c0(%rdx),%zmm3
  143779:	vsubpd %zmm0,%zmm9,%zmm4
  14377f:	vsubpd %zmm1,%zmm9,%zmm5
  143785:	vsubpd %zmm2,%zmm9,%zmm6
  14378b:	vsubpd %zmm3,%zmm9,%zmm7
  143791:	vmulpd %zmm4,%zmm0,%zmm0
  143797:	vmulpd %zmm5,%zmm1,%zmm1
  14379d:	vmulpd %zmm6,%zmm2,%zmm2
  1437a3:	vmulpd %zmm7,%zmm3,%zmm3
  1437a9:	vcmpltpd %zmm11,%zmm0,%k5
  1437b0:	vcmpltpd %zmm11,%zmm1,%k6
  1437b7:	vcmpltpd %zmm11,%zmm2,%k7
  1437be:	vcmpltpd %zmm11,%zmm3,%k1
  1437c5:	vmovdqa64 -0x108fcf(%rip),%zmm0{%k5}{z}        # 3a800 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x340>
  1437cf:	vmovdqa64 -0x108f99(%rip),%zmm1{%k6}{z}        # 3a840 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x380>
  1437d9:	vmovdqa64 -0x108f63(%rip),%zmm2{%k7}{z}        # 3a880 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x3c0>
  1437e3:	vmovdqa64 -0x108f2d(%rip),%zmm3{%k1}{z}        # 3a8c0 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x400>
  1437ed:	vporq  -0x108ef7(%rip),%zmm0,%zmm0{%k4}        # 3a900 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x440>
  1437f7:	vporq  %zmm13,%zmm1,%zmm1{%k3}
  1437fd:	vporq  %zmm0,%zmm1,%zmm0
  143803:	vporq  -0x108e8d(%rip),%zmm2,%zmm2{%k2}        # 3a980 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x4c0>
  14380d:	kmovw  0x8(%rsp),%k1
  143813:	vporq  -0x108e5d(%rip),%zmm3,%zmm3{%k1}        # 3a9c0 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x500>
  14381d:	vpternlogq $0xfe,%zmm0,%zmm2,%zmm3
  143824:	vextracti64x4 $0x1,%zmm3,%ymm0
  14382b:	vporq  %zmm0,%zmm3,%zmm0
  143831:	vextracti128 $0x1,%ymm0,%xmm1
  143837:	vpor   %xmm1,%xmm0,%xmm0
  14383b:	vpshufd $0xee,%xmm0,%xmm1
  143840:	vpor   %xmm1,%xmm0,%xmm0
  143844:	vmovq  %xmm0,%r11
  143849:	test   %r11,%r11
  14384c:	je     1438a0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x480>
  14384e:	mov    %rcx,%rdi
  143851:	shl    $0x6,%rdi
  143855:	vbroadcastsd -0x10a1af(%rip),%zmm7        # 396b0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x118>
  14385f:	nop
  143860:	movzbl %r12b,%r8d
  143864:	tzcnt  %r11,%r9
  143869:	mov    %r9d,%r10d
  14386c:	or     %edi,%r10d
  14386f:	mov    %r10b,0xc0(%rsp,%r8,1)
  143877:	vmovq  (%rdx,%r9,8),%xmm0
  14387d:	mov    %r8d,%r8d
  143880:	vmovq  %xmm0,0x1c8(%rsp,%r8,8)
  14388a:	inc    %r12
  14388d:	blsr   %r11,%r11
  143892:	jne    143860 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x440>
  143894:	jmp    1438aa <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x48a>
  143896:	cs nopw 0x0(%rax,%rax,1)
  1438a0:	vbroadcastsd -0x10a1fa(%rip),%zmm7        # 396b0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x118>
  1438aa:	lea    0x200(%rdx),%r8
  1438b1:	inc    %rcx
  1438b4:	xor    %edi,%edi
  1438b6:	vbroadcastsd -0x10a280(%rip),%zmm12        # 39640 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0xa8>
  1438c0:	vbroadcastsd -0x10a702(%rip),%zmm14        # 391c8 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x478>
  1438ca:	nopw   0x0(%rax,%rax,1)
  1438d0:	vmovupd (%rdx,%rdi,8),%zmm0
  1438d7:	vsubpd %zmm0,%zmm9,%zmm1
  1438dd:	vmulpd %zmm1,%zmm0,%zmm1
  1438e3:	vaddpd %zmm15,%zmm0,%zmm0
  1438e9:	vmulpd %zmm1,%zmm1,%zmm2
  1438ef:	vmulpd %zmm16,%zmm2,%zmm3
  1438f5:	vaddpd %zmm17,%zmm3,%zmm3
  1438fb:	vmulpd %zmm3,%zmm2,%zmm3
  143901:	vaddpd %zmm18,%zmm3,%zmm3
  143907:	vmulpd %zmm3,%zmm2,%zmm3
  14390d:	vaddpd %zmm19,%zmm3,%zmm3
  143913:	vmulpd %zmm20,%zmm2,%zmm4
  143919:	vaddpd %zmm21,%zmm4,%zmm4
  14391f:	vmulpd %zmm4,%zmm2,%zmm4
  143925:	vaddpd %zmm22,%zmm4,%zmm4
  14392b:	vmulpd %zmm4,%zmm2,%zmm4
  143931:	vaddpd %zmm23,%zmm4,%zmm4
  143937:	vmulpd %zmm24,%zmm2,%zmm5
  14393d:	vaddpd %zmm25,%zmm5,%zmm5
  143943:	vmulpd %zmm5,%zmm2,%zmm5
  143949:	vaddpd %zmm26,%zmm5,%zmm5
  14394f:	vmulpd %zmm5,%zmm2,%zmm5
  143955:	vaddpd %zmm27,%zmm5,%zmm5
  14395b:	vmulpd %zmm5,%zmm2,%zmm5
  143961:	vaddpd %zmm28,%zmm5,%zmm5
  143967:	vmulpd %zmm29,%zmm2,%zmm6
  14396d:	vaddpd %zmm30,%zmm6,%zmm6
  143973:	vmulpd %zmm6,%zmm2,%zmm6
  143979:	vaddpd %zmm31,%zmm6,%zmm6
  14397f:	vmulpd %zmm6,%zmm2,%zmm6
  143985:	vaddpd %zmm7,%zmm6,%zmm6
  14398b:	vmulpd %zmm6,%zmm2,%zmm6
  143991:	vaddpd %zmm12,%zmm6,%zmm6
  143997:	vmulpd %zmm6,%zmm1,%zmm6
  14399d:	vaddpd %zmm6,%zmm5,%zmm5
  1439a3:	vmulpd %zmm3,%zmm2,%zmm3
  1439a9:	vmulpd %zmm4,%zmm2,%zmm2
  1439af:	vaddpd %zmm9,%zmm2,%zmm2
  1439b5:	vaddpd %zmm14,%zmm3,%zmm3
  1439bb:	vmulpd %zmm3,%zmm1,%zmm1
  1439c1:	vaddpd %zmm1,%zmm2,%zmm1
  1439c7:	vdivpd %zmm1,%zmm5,%zmm1
  1439cd:	vmulpd %zmm1,%zmm0,%zmm0
  1439d3:	vmovupd %zmm0,(%rdx,%rdi,8)
  1439da:	add    $0x8,%rdi
  1439de:	cmp    $0x40,%rdi
  1439e2:	jne    1438d0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x4b0>
  1439e8:	mov    %r8,%rdx
  1439eb:	cmp    %rax,%r8
  1439ee:	jne    1436f0 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x2d0>
  1439f4:	test   %r12,%r12
  1439f7:	mov    0x18(%rsp),%rcx
  1439fc:	vpbroadcastq -0x10a3be(%rip),%zmm6        # 39648 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0xb0>
  143a06:	vpbroadcastq -0x10a730(%rip),%zmm7        # 392e0 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x10>
  143a10:	mov    $0x8,%edx
  143a15:	mov    0x10(%rsp),%r8
  143a1a:	je     143520 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x100>
  143a20:	mov    %r12,%r9
  143a23:	shr    $0x3,%r9
  143a27:	mov    %r12d,%eax
  143a2a:	and    $0x7,%eax
  143a2d:	cmp    $0x1,%rax
  143a31:	sbb    $0xffffffffffffffff,%r9
  143a35:	mov    $0x100,%ebp
  143a3a:	lea    0xc0(%rsp),%r13
  143a42:	mov    %r12,%rax
  143a45:	xor    %r10d,%r10d
  143a48:	jmp    143a6c <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x64c>
  143a4a:	nopw   0x0(%rax,%rax,1)
  143a50:	add    $0x8,%r10
  143a54:	dec    %r9
  143a57:	add    $0xfffffffffffffff8,%rbp
  143a5b:	add    $0xfffffffffffffff8,%rax
  143a5f:	add    $0x8,%r13
  143a63:	test   %r9,%r9
  143a66:	je     143520 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x100>
  143a6c:	cmp    $0x1,%rax
  143a70:	mov    %rax,%r14
  143a73:	adc    $0x0,%r14
  143a77:	cmp    $0x8,%r14
  143a7b:	cmovae %rdx,%r14
  143a7f:	cmp    $0x100,%r10
  143a86:	jae    143f05 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xae5>
  143a8c:	vmovups 0x1c8(%rsp,%r10,8),%zmm0
  143a97:	vmovups %zmm0,0x40(%rsp)
  143a9f:	vmovupd 0x40(%rsp),%zmm0
  143aa7:	vcmpltpd %zmm8,%zmm0,%k1
  143aae:	vsubpd %zmm0,%zmm9,%zmm1
  143ab4:	vmovapd %zmm0,%zmm1{%k1}
  143aba:	vpaddq %zmm6,%zmm1,%zmm0
  143ac0:	vpsrlq $0x34,%zmm0,%zmm2
  143ac7:	vporq  %zmm7,%zmm2,%zmm2
  143acd:	vaddpd -0x10a74f(%rip){1to8},%zmm2,%zmm2        # 39388 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0xb8>
  143ad7:	vpandq -0x10aa31(%rip){1to8},%zmm0,%zmm0        # 390b0 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x360>
  143ae1:	vpaddq -0x10a803(%rip){1to8},%zmm0,%zmm0        # 392e8 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x18>
  143aeb:	vaddpd -0x10a98d(%rip){1to8},%zmm0,%zmm0        # 39168 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x418>
  143af5:	vaddpd -0x10a8e7(%rip){1to8},%zmm0,%zmm3        # 39218 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x4c8>
  143aff:	vdivpd %zmm3,%zmm0,%zmm3
  143b05:	vmulpd %zmm3,%zmm3,%zmm4
  143b0b:	vmulpd -0x10a45d(%rip){1to8},%zmm4,%zmm5        # 396b8 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x120>
  143b15:	vaddpd -0x109f67(%rip){1to8},%zmm5,%zmm5        # 39bb8 <anon.4cc6f184b462f47d040cdbafeecd1410.95.llvm.13354268805348168260+0x40>
  143b1f:	vmulpd %zmm5,%zmm4,%zmm5
  143b25:	vaddpd -0x10a46f(%rip){1to8},%zmm5,%zmm5        # 396c0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x128>
  143b2f:	vmulpd %zmm5,%zmm4,%zmm5
  143b35:	vaddpd -0x10a8b7(%rip){1to8},%zmm5,%zmm5        # 39288 <anon.4cc6f184b462f47d040cdbafeecd1410.103.llvm.13354268805348168260+0x60>
  143b3f:	vmulpd %zmm5,%zmm4,%zmm5
  143b45:	vaddpd -0x10a0a7(%rip){1to8},%zmm5,%zmm5        # 39aa8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x318>
  143b4f:	vmulpd %zmm5,%zmm4,%zmm5
  143b55:	vaddpd -0x10a72f(%rip){1to8},%zmm5,%zmm5        # 39430 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0x28>
  143b5f:	vmulpd %zmm5,%zmm4,%zmm5
  143b65:	vaddpd -0x10a06f(%rip){1to8},%zmm5,%zmm5        # 39b00 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x370>
  143b6f:	vmulpd %zmm5,%zmm4,%zmm4
  143b75:	vmulpd %zmm8,%zmm0,%zmm5
  143b7b:	vmulpd %zmm5,%zmm0,%zmm5
  143b81:	vaddpd %zmm4,%zmm5,%zmm4
  143b87:	vmulpd %zmm4,%zmm3,%zmm3
  143b8d:	vmulpd -0x10a5ef(%rip){1to8},%zmm2,%zmm4        # 395a8 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x10>
  143b97:	vaddpd %zmm3,%zmm4,%zmm3
  143b9d:	vmovsd -0x10a47d(%rip),%xmm4        # 39728 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x190>
  143ba5:	vsubpd %zmm3,%zmm5,%zmm3
  143bab:	vsubpd %zmm0,%zmm3,%zmm0
  143bb1:	vmulpd -0x10a893(%rip){1to8},%zmm2,%zmm2        # 39328 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x58>
  143bbb:	vsubpd %zmm0,%zmm2,%zmm0
  143bc1:	vcmpeq_uqpd -0x10a8ac(%rip){1to8},%zmm1,%k0        # 39320 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x50>
  143bcc:	vcmpnltpd %zmm1,%zmm10,%k2
  143bd3:	vcmpeqpd %zmm10,%zmm1,%k3
  143bda:	vbroadcastsd -0x10a3a4(%rip),%zmm1{%k2}        # 39840 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0xb0>
  143be4:	korb   %k2,%k0,%k2
  143be8:	vbroadcastsd -0x10a69a(%rip),%zmm1{%k3}        # 39558 <anon.4cc6f184b462f47d040cdbafeecd1410.96.llvm.13354268805348168260+0x88>
  143bf2:	vmovapd %zmm1,%zmm0{%k2}
  143bf8:	vbroadcastsd -0x10a5ca(%rip),%zmm3        # 39638 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0xa0>
  143c02:	vxorpd %zmm3,%zmm0,%zmm0
  143c08:	vsqrtpd %zmm0,%zmm0
  143c0e:	vaddpd -0x10ab60(%rip){1to8},%zmm0,%zmm0        # 390b8 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x368>
  143c18:	vmulpd -0x10a842(%rip){1to8},%zmm0,%zmm1        # 393e0 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x110>
  143c22:	vaddpd -0x10a43c(%rip){1to8},%zmm1,%zmm1        # 397f0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x60>
  143c2c:	vmulpd %zmm1,%zmm0,%zmm1
  143c32:	vaddpd -0x10a024(%rip){1to8},%zmm1,%zmm1        # 39c18 <anon.4cc6f184b462f47d040cdbafeecd1410.95.llvm.13354268805348168260+0xa0>
  143c3c:	vmulpd %zmm1,%zmm0,%zmm1
  143c42:	vaddpd -0x10aa7c(%rip){1to8},%zmm1,%zmm1        # 391d0 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x480>
  143c4c:	vmulpd %zmm1,%zmm0,%zmm1
  143c52:	vaddpd -0x10a464(%rip){1to8},%zmm1,%zmm1        # 397f8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x68>
  143c5c:	vmulpd %zmm1,%zmm0,%zmm1
  143c62:	vaddpd -0x10a234(%rip){1to8},%zmm1,%zmm1        # 39a38 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x2a8>
  143c6c:	vmulpd %zmm1,%zmm0,%zmm1
  143c72:	vaddpd -0x10a23c(%rip){1to8},%zmm1,%zmm1        # 39a40 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x2b0>
  143c7c:	vmulpd %zmm1,%zmm0,%zmm1
  143c82:	vmulpd -0x10a0cc(%rip){1to8},%zmm0,%zmm2        # 39bc0 <anon.4cc6f184b462f47d040cdbafeecd1410.95.llvm.13354268805348168260+0x48>
  143c8c:	vaddpd -0x10a076(%rip){1to8},%zmm2,%zmm2        # 39c20 <anon.4cc6f184b462f47d040cdbafeecd1410.95.llvm.13354268805348168260+0xa8>
  143c96:	vmulpd %zmm2,%zmm0,%zmm2
  143c9c:	vaddpd -0x10a5de(%rip){1to8},%zmm2,%zmm2        # 396c8 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x130>
  143ca6:	vmulpd %zmm2,%zmm0,%zmm2
  143cac:	vaddpd -0x10ab36(%rip){1to8},%zmm2,%zmm2        # 39180 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x430>
  143cb6:	vmulpd %zmm2,%zmm0,%zmm2
  143cbc:	vaddpd -0x10a476(%rip){1to8},%zmm2,%zmm2        # 39850 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0xc0>
  143cc6:	vmulpd %zmm2,%zmm0,%zmm2
  143ccc:	vaddpd -0x10aab6(%rip){1to8},%zmm2,%zmm2        # 39220 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x4d0>
  143cd6:	vmulpd %zmm2,%zmm0,%zmm2
  143cdc:	vaddpd -0x10a786(%rip){1to8},%zmm2,%zmm2        # 39560 <anon.4cc6f184b462f47d040cdbafeecd1410.96.llvm.13354268805348168260+0x90>
  143ce6:	vmulpd %zmm2,%zmm0,%zmm0
  143cec:	vaddpd %zmm9,%zmm1,%zmm1
  143cf2:	vaddpd -0x10a9cc(%rip){1to8},%zmm0,%zmm0        # 39330 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x60>
  143cfc:	vdivpd %zmm1,%zmm0,%zmm0
  143d02:	vxorpd %zmm3,%zmm0,%zmm0{%k1}
  143d08:	vmovsd -0x10a860(%rip),%xmm3        # 394b0 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0xa8>
  143d10:	vmovupd %zmm0,0x80(%rsp)
  143d18:	cmp    %r10,%r12
  143d1b:	je     143a50 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x630>
  143d21:	xor    %r15d,%r15d
  143d24:	data16 data16 cs nopw 0x0(%rax,%rax,1)
  143d30:	cmp    %r15,%rbp
  143d33:	je     143f24 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xb04>
  143d39:	movzbl 0x0(%r13,%r15,1),%ebx
  143d3f:	vmovsd 0x40(%rsp,%r15,8),%xmm0
  143d46:	vsubsd %xmm0,%xmm3,%xmm1
  143d4a:	vminsd %xmm0,%xmm1,%xmm2
  143d4e:	vcmpunordsd %xmm0,%xmm0,%k1
  143d55:	vmovsd %xmm1,%xmm2,%xmm2{%k1}
  143d5b:	vucomisd %xmm2,%xmm4
  143d5f:	ja     143d94 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x974>
  143d61:	vmovsd 0x80(%rsp,%r15,8),%xmm0
  143d6b:	mov    %ebx,%edi
  143d6d:	shr    $0x6,%edi
  143d70:	cmp    %r8,%rdi
  143d73:	jae    143edd <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0xabd>
  143d79:	inc    %r15
  143d7c:	and    $0x3f,%ebx
  143d7f:	shl    $0x9,%edi
  143d82:	add    %rcx,%rdi
  143d85:	vmovsd %xmm0,(%rdi,%rbx,8)
  143d8a:	cmp    %r15,%r14
  143d8d:	jne    143d30 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x910>
  143d8f:	jmp    143a50 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x630>
  143d94:	mov    %rsi,0x8(%rsp)
  143d99:	mov    %r9,0x30(%rsp)
  143d9e:	mov    %rax,0x28(%rsp)
  143da3:	mov    %r10,0x20(%rsp)
  143da8:	vzeroupper
  143dab:	call   *0xee317(%rip)        # 2320c8 <_DYNAMIC+0x6a0>
  143db1:	mov    0x20(%rsp),%r10
  143db6:	mov    0x28(%rsp),%rax
  143dbb:	mov    0x30(%rsp),%r9
  143dc0:	mov    0x10(%rsp),%r8
  143dc5:	vmovsd -0x10a6a5(%rip),%xmm4        # 39728 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x190>
  143dcd:	vmovsd -0x10a925(%rip),%xmm3        # 394b0 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0xa8>
  143dd5:	mov    $0x8,%edx
  143dda:	vpbroadcastq -0x10ab04(%rip),%zmm7        # 392e0 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x10>
  143de4:	vpbroadcastq -0x10a7a6(%rip),%zmm6        # 39648 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0xb0>
  143dee:	vbroadcastsd -0x10ac80(%rip),%zmm31        # 39178 <anon.4cc6f184b462f47d040cdbafeecd1410.143.llvm.13354268805348168260+0x428>
  143df8:	vbroadcastsd -0x10a9da(%rip),%zmm30        # 39428 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0x20>
  143e02:	vbroadcastsd -0x10a3dc(%rip),%zmm29        # 39a30 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x2a0>
  143e0c:	vbroadcastsd -0x10ab96(%rip),%zmm28        # 39280 <anon.4cc6f184b462f47d040cdbafeecd1410.103.llvm.13354268805348168260+0x58>
  143e16:	vbroadcastsd -0x10a380(%rip),%zmm27        # 39aa0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x310>
  143e20:	vbroadcastsd -0x10a86a(%rip),%zmm26        # 395c0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x28>
  143e2a:	vbroadcastsd -0x10a5ec(%rip),%zmm25        # 39848 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0xb8>
  143e34:	vbroadcastsd -0x10a346(%rip),%zmm24        # 39af8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x368>
  143e3e:	vbroadcastsd -0x10a660(%rip),%zmm23        # 397e8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x58>
  143e48:	vbroadcastsd -0x10a5aa(%rip),%zmm22        # 398a8 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x118>
  143e52:	vbroadcastsd -0x10a434(%rip),%zmm21        # 39a28 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x298>
  143e5c:	vbroadcastsd -0x10a8ae(%rip),%zmm20        # 395b8 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x20>
  143e66:	vbroadcastsd -0x10abf8(%rip),%zmm19        # 39278 <anon.4cc6f184b462f47d040cdbafeecd1410.103.llvm.13354268805348168260+0x50>
  143e70:	vbroadcastsd -0x10a5da(%rip),%zmm18        # 398a0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x110>
  143e7a:	vbroadcastsd -0x10aa64(%rip),%zmm17        # 39420 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0x18>
  143e84:	vbroadcastsd -0x10a39e(%rip),%zmm16        # 39af0 <anon.4cc6f184b462f47d040cdbafeecd1410.135.llvm.13354268805348168260+0x360>
  143e8e:	vbroadcastsd -0x10a8f8(%rip),%zmm15        # 395a0 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x8>
  143e98:	vmovdqa64 -0x109562(%rip),%zmm13        # 3a940 <anon.9e4b8606956060c39016e91faeec7065.17.llvm.17422142744632914862+0x480>
  143ea2:	vbroadcastsd -0x10aad4(%rip),%zmm11        # 393d8 <anon.480cbaeef7e7eebbc70127980e73b05c.40.llvm.17305413885724032710+0x108>
  143eac:	vxorpd %xmm10,%xmm10,%xmm10
  143eb1:	vbroadcastsd -0x10aa0b(%rip),%zmm9        # 394b0 <anon.4fa4348926ed918cade0f0557b51f042.18.llvm.4225819008026580520+0xa8>
  143ebb:	vbroadcastsd -0x10a895(%rip),%zmm8        # 39630 <anon.f1617923856b3ffa21b094da6120f57b.2.llvm.14501395236628346587+0x98>
  143ec5:	mov    0x18(%rsp),%rcx
  143eca:	mov    0x8(%rsp),%rsi
  143ecf:	mov    %ebx,%edi
  143ed1:	shr    $0x6,%edi
  143ed4:	cmp    %r8,%rdi
  143ed7:	jb     143d79 <_ZN4pulp3x862v42V49vectorize12imp_fastcall17hf2bc9bf34abfaacdE+0x959>
  143edd:	lea    0xe79e4(%rip),%rdx        # 22b8c8 <anon.cdd6e96c8dc0c819a1e231dc3ce3657a.24.llvm.4604766673993928661+0xd8>
  143ee4:	mov    %r8,%rsi
  143ee7:	vzeroupper
  143eea:	call   *0xede60(%rip)        # 231d50 <_DYNAMIC+0x328>
  143ef0:	add    $0x9c8,%rsp
  143ef7:	pop    %rbx
  143ef8:	pop    %r12
  143efa:	pop    %r13
  143efc:	pop    %r14
  143efe:	pop    %r15
  143f00:	pop    %rbp
  143f01:	vzeroupper
  143f04:	ret
  143f05:	lea    0xe79d4(%rip),%rcx        # 22b8e0 <anon.cdd6e96c8dc0c819a1e231dc3ce3657a.24.llvm.4604766673993928661+0xf0>
  143f0c:	mov    $0x100,%edi
  143f11:	mov    $0x108,%esi
  143f16:	mov    $0x100,%edx
  143f1b:	vzeroupper
  143f1e:	call   *0xee084(%rip)        # 231fa8 <_DYNAMIC+0x580>
  143f24:	lea    0xe7985(%rip),%rdx        # 22b8b0 <anon.cdd6e96c8dc0c819a1e231dc3ce3657a.24.llvm.4604766673993928661+0xc0>
  143f2b:	mov    $0x100,%edi
  143f30:	mov    $0x100,%esi
  143f35:	vzeroupper
  143f38:	call   *0xede12(%rip)        # 231d50 <_DYNAMIC+0x328>
  143f3e:	int3
  143f3f:	int3

