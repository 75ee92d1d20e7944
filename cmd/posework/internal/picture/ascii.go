package picture

// asciiOf is, for each mask of dots, the sign that looks most like it. The test
// beside it draws the signs and works the table out.
const asciiOf = " '''.:'|'\"'^:\":|'`-'-`-|'^'^///|.:`\\--`+:\"`\\-=`='``\\-``+||||+=+#.':',,||'\":^,,||:`-'//+|'^'^///#,,,\\,,||,,++,=+#,>,>/>+#|>+#/**#.':'.::|'\":^:\"<<:`-'-+-+'^'^/+<#,,\\\\,,\\\\,,\\\\,=<#||+\\|++*|||#|###___',,||_=_=,=<[_`==/+=*'===/=#[,,\\\\,#|#,=+=#=#[|>=#|###|]#]#]##"
