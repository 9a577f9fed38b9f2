#include "labels/content/application_identifier.h"

#include <string.h>

/* Parts. N digits, X of the set of 82; a number alone is an exact length, _TO a longest one. */
#define N(n)                                                                                                           \
    {                                                                                                                  \
        'N', n, n, AI_CHECK_NONE, false                                                                                \
    }
#define N_IS(n, check)                                                                                                 \
    {                                                                                                                  \
        'N', n, n, AI_CHECK_##check, false                                                                             \
    }
#define N_TO(n)                                                                                                        \
    {                                                                                                                  \
        'N', 1, n, AI_CHECK_NONE, false                                                                                \
    }
#define X(n)                                                                                                           \
    {                                                                                                                  \
        'X', n, n, AI_CHECK_NONE, false                                                                                \
    }
#define X_TO(n)                                                                                                        \
    {                                                                                                                  \
        'X', 1, n, AI_CHECK_NONE, false                                                                                \
    }
#define X_KEY(n)                                                                                                       \
    {                                                                                                                  \
        'X', 1, n, AI_CHECK_KEY, false                                                                                 \
    }
#define MAYBE(set, min, max, check)                                                                                    \
    {                                                                                                                  \
        set, min, max, AI_CHECK_##check, true                                                                          \
    }
#define PARTS(...)                                                                                                     \
    {                                                                                                                  \
        __VA_ARGS__                                                                                                    \
    }

/* A measure of six digits whose identifier's last digit is the number of decimals; one of its kind only. */
#define MEASURE(kind, needs, title)                                                                                    \
    {                                                                                                                  \
        kind "0", kind "5", true, {N(6)}, needs, kind "n", title                                                       \
    }

#define ITEM  "01,02,03,8006,8026"
#define ITEM1 "01,02,8006,8026"

static const struct application_identifier table[] = {
    {"00", "00", true, {N_IS(18, MOD10)}, "", "", "SSCC"},
    {"01", "01", true, {N_IS(14, MOD10)}, "", "255,37", "GTIN"},
    {"02", "02", true, {N_IS(14, MOD10)}, "37", "01,03", "CONTENT"},
    {"03", "03", true, {N_IS(14, MOD10)}, "", "01,02,37,235", "MTO GTIN"},
    {"10", "10", false, {X_TO(20)}, ITEM, "", "BATCH/LOT"},
    {"11", "11", true, {N_IS(6, DATE_00)}, ITEM, "", "PROD DATE"},
    {"12", "12", true, {N_IS(6, DATE_00)}, "8020", "", "DUE DATE"},
    {"13", "13", true, {N_IS(6, DATE_00)}, ITEM, "", "PACK DATE"},
    {"15", "15", true, {N_IS(6, DATE_00)}, ITEM, "", "BEST BEFORE"},
    {"16", "16", true, {N_IS(6, DATE_00)}, ITEM, "", "SELL BY"},
    {"17", "17", true, {N_IS(6, DATE_00)}, "01,02,03,255,8006,8026", "", "EXPIRY"},
    {"20", "20", true, {N(2)}, ITEM, "", "VARIANT"},
    {"21", "21", false, {X_TO(20)}, "01,03,8006", "235", "SERIAL"},
    {"22", "22", false, {X_TO(20)}, "01", "", "CPV"},
    {"235", "235", false, {X_TO(28)}, "01", "", "TPX"},
    {"240", "240", false, {X_TO(30)}, ITEM, "", "ADDITIONAL ID"},
    {"241", "241", false, {X_TO(30)}, ITEM, "", "CUST. PART No."},
    {"242", "242", false, {N_TO(6)}, ITEM1, "", "MTO VARIANT"},
    {"243", "243", false, {X_TO(20)}, "01,03", "", "PCN"},
    {"250", "250", false, {X_TO(30)}, "01+21,03+21,8006+21", "", "SECONDARY SERIAL"},
    {"251", "251", false, {X_TO(30)}, "01,03,8006", "", "REF. TO SOURCE"},
    {"253", "253", false, PARTS(N_IS(13, MOD10), MAYBE('X', 1, 17, NONE)), "", "", "GDTI"},
    {"254", "254", false, {X_TO(20)}, "414", "", "GLN EXTENSION"},
    {"255", "255", false, PARTS(N_IS(13, MOD10), MAYBE('N', 1, 12, NONE)), "", "01,02,415,8006,8020,8026", "GCN"},
    {"30", "30", false, {N_TO(8)}, "01,02", "", "VAR. COUNT"},
    MEASURE("310", "01,02", "NET WEIGHT (kg)"),
    MEASURE("311", "01,02", "LENGTH (m)"),
    MEASURE("312", "01,02", "WIDTH (m)"),
    MEASURE("313", "01,02", "HEIGHT (m)"),
    MEASURE("314", "01,02", "AREA (m2)"),
    MEASURE("315", "01,02", "NET VOLUME (l)"),
    MEASURE("316", "01,02", "NET VOLUME (m3)"),
    MEASURE("320", "01,02", "NET WEIGHT (lb)"),
    MEASURE("321", "01,02", "LENGTH (in)"),
    MEASURE("322", "01,02", "LENGTH (ft)"),
    MEASURE("323", "01,02", "LENGTH (yd)"),
    MEASURE("324", "01,02", "WIDTH (in)"),
    MEASURE("325", "01,02", "WIDTH (ft)"),
    MEASURE("326", "01,02", "WIDTH (yd)"),
    MEASURE("327", "01,02", "HEIGHT (in)"),
    MEASURE("328", "01,02", "HEIGHT (ft)"),
    MEASURE("329", "01,02", "HEIGHT (yd)"),
    MEASURE("330", "00,01", "GROSS WEIGHT (kg)"),
    MEASURE("331", "00,01", "LENGTH (m), log"),
    MEASURE("332", "00,01", "WIDTH (m), log"),
    MEASURE("333", "00,01", "HEIGHT (m), log"),
    MEASURE("334", "00,01", "AREA (m2), log"),
    MEASURE("335", "00,01", "VOLUME (l), log"),
    MEASURE("336", "00,01", "VOLUME (m3), log"),
    MEASURE("337", "01", "KG PER m2"),
    MEASURE("340", "00,01", "GROSS WEIGHT (lb)"),
    MEASURE("341", "00,01", "LENGTH (in), log"),
    MEASURE("342", "00,01", "LENGTH (ft), log"),
    MEASURE("343", "00,01", "LENGTH (yd), log"),
    MEASURE("344", "00,01", "WIDTH (in), log"),
    MEASURE("345", "00,01", "WIDTH (ft), log"),
    MEASURE("346", "00,01", "WIDTH (yd), log"),
    MEASURE("347", "00,01", "HEIGHT (in), log"),
    MEASURE("348", "00,01", "HEIGHT (ft), log"),
    MEASURE("349", "00,01", "HEIGHT (yd), log"),
    MEASURE("350", "01,02", "AREA (in2)"),
    MEASURE("351", "01,02", "AREA (ft2)"),
    MEASURE("352", "01,02", "AREA (yd2)"),
    MEASURE("353", "00,01", "AREA (in2), log"),
    MEASURE("354", "00,01", "AREA (ft2), log"),
    MEASURE("355", "00,01", "AREA (yd2), log"),
    MEASURE("356", "01,02", "NET WEIGHT (tr oz)"),
    MEASURE("357", "01,02", "NET VOLUME (oz)"),
    MEASURE("360", "01,02", "NET VOLUME (qt)"),
    MEASURE("361", "01,02", "NET VOLUME (gal)"),
    MEASURE("362", "00,01", "VOLUME (qt), log"),
    MEASURE("363", "00,01", "VOLUME (gal), log"),
    MEASURE("364", "01,02", "NET VOLUME (in3)"),
    MEASURE("365", "01,02", "NET VOLUME (ft3)"),
    MEASURE("366", "01,02", "NET VOLUME (yd3)"),
    MEASURE("367", "00,01", "VOLUME (in3), log"),
    MEASURE("368", "00,01", "VOLUME (ft3), log"),
    MEASURE("369", "00,01", "VOLUME (yd3), log"),
    {"37", "37", false, {N_TO(8)}, "00+02,00+8026", "", "COUNT"},
    {"3900", "3909", false, {N_TO(15)}, "255,8020", "390n,391n,394n,8111", "AMOUNT"},
    {"3910", "3919", false, PARTS(N(3), N_TO(15)), "8020", "391n", "AMOUNT"},
    {"3920", "3929", false, {N_TO(15)}, "01+30,01+31nn,01+32nn,01+35nn,01+36nn", "392n,393n", "PRICE"},
    {"3930", "3939", false, PARTS(N(3), N_TO(15)), "30,31nn,32nn,35nn,36nn", "393n", "PRICE"},
    {"3940", "3943", false, {N(4)}, "255", "394n,8111", "PRCNT OFF"},
    {"3950", "3955", false, {N(6)}, "30,31nn,32nn,35nn,36nn", "392n,393n,395n,8005", "PRICE/UoM"},
    {"400", "400", false, {X_TO(30)}, "", "", "ORDER NUMBER"},
    {"401", "401", false, {X_KEY(30)}, "", "", "GINC"},
    {"402", "402", false, {N_IS(17, MOD10)}, "", "", "GSIN"},
    {"403", "403", false, {X_TO(30)}, "00", "", "ROUTE"},
    {"410", "410", true, {N_IS(13, MOD10)}, "", "", "SHIP TO LOC"},
    {"411", "411", true, {N_IS(13, MOD10)}, "", "", "BILL TO"},
    {"412", "412", true, {N_IS(13, MOD10)}, "", "", "PURCHASE FROM"},
    {"413", "413", true, {N_IS(13, MOD10)}, "", "", "SHIP FOR LOC"},
    {"414", "414", true, {N_IS(13, MOD10)}, "", "", "LOC No."},
    {"415", "415", true, {N_IS(13, MOD10)}, "8020", "", "PAY TO"},
    {"416", "416", true, {N_IS(13, MOD10)}, "", "", "PROD/SERV LOC"},
    {"417", "417", true, {N_IS(13, MOD10)}, "", "", "PARTY"},
    {"420", "420", false, {X_TO(20)}, "", "421", "SHIP TO POST"},
    {"421", "421", false, PARTS(N(3), X_TO(9)), "", "4307", "SHIP TO POST"},
    {"422", "422", false, {N(3)}, ITEM, "426", "ORIGIN"},
    {"423", "423", false,
     PARTS(N(3), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE)),
     "01,02,03", "426", "COUNTRY - INITIAL PROCESS"},
    {"424", "424", false, {N(3)}, "01,02,03", "426", "COUNTRY - PROCESS"},
    {"425", "425", false,
     PARTS(N(3), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE), MAYBE('N', 3, 3, NONE)),
     "01,02,03", "426", "COUNTRY - DISASSEMBLY"},
    {"426", "426", false, {N(3)}, "01,02,03", "", "COUNTRY - FULL PROCESS"},
    {"427", "427", false, {X_TO(3)}, "01+422,02+422,03+422", "", "ORIGIN SUBDIVISION"},
    {"4300", "4301", false, {X_TO(35)}, "00", "", "SHIP TO NAME"},
    {"4302", "4302", false, {X_TO(70)}, "00", "", "SHIP TO ADD1"},
    {"4303", "4303", false, {X_TO(70)}, "4302", "", "SHIP TO ADD2"},
    {"4304", "4306", false, {X_TO(70)}, "00", "", "SHIP TO"},
    {"4307", "4307", false, {X(2)}, "00", "", "SHIP TO COUNTRY"},
    {"4308", "4308", false, {X_TO(30)}, "00", "", "SHIP TO PHONE"},
    {"4309", "4309", false, PARTS(N(10), N(10)), "00", "", "SHIP TO GEO"},
    {"4310", "4311", false, {X_TO(35)}, "00", "", "RTN TO NAME"},
    {"4312", "4312", false, {X_TO(70)}, "00", "", "RTN TO ADD1"},
    {"4313", "4313", false, {X_TO(70)}, "4312", "", "RTN TO ADD2"},
    {"4314", "4316", false, {X_TO(70)}, "00", "", "RTN TO"},
    {"4317", "4317", false, {X(2)}, "00", "", "RTN TO COUNTRY"},
    {"4318", "4318", false, {X_TO(20)}, "00", "", "RTN TO POST"},
    {"4319", "4319", false, {X_TO(30)}, "00", "", "RTN TO PHONE"},
    {"4320", "4320", false, {X_TO(35)}, "00", "", "SRV DESCRIPTION"},
    {"4321", "4323", false, {N_IS(1, YES_NO)}, "00", "", "DANGEROUS GOODS, AUTH TO LEAVE, SIG REQUIRED"},
    {"4324", "4325", false, PARTS(N_IS(6, DATE_00), N_IS(4, TIME_ANY)), "00", "", "DELIVERY DATE TIME"},
    {"4326", "4326", false, {N_IS(6, DATE)}, "00", "", "REL DATE"},
    {"4330", "4330", false, PARTS(N(6), MAYBE('X', 1, 1, MINUS)), "00", "4331", "MAX TEMP F"},
    {"4331", "4331", false, PARTS(N(6), MAYBE('X', 1, 1, MINUS)), "00", "4330", "MAX TEMP C"},
    {"4332", "4332", false, PARTS(N(6), MAYBE('X', 1, 1, MINUS)), "00", "4333", "MIN TEMP F"},
    {"4333", "4333", false, PARTS(N(6), MAYBE('X', 1, 1, MINUS)), "00", "4332", "MIN TEMP C"},
    {"7001", "7001", false, {N(13)}, ITEM1, "", "NSN"},
    {"7002", "7002", false, {X_TO(30)}, "01,02", "", "MEAT CUT"},
    {"7003", "7003", false, PARTS(N_IS(6, DATE), N_IS(4, TIME)), "01,02,03", "", "EXPIRY TIME"},
    {"7004", "7004", false, {N_TO(4)}, "01+10,03+10", "", "ACTIVE POTENCY"},
    {"7005", "7005", false, {X_TO(12)}, "01,02", "", "CATCH AREA"},
    {"7006", "7006", false, {N_IS(6, DATE)}, "01,02", "", "FIRST FREEZE DATE"},
    {"7007", "7007", false, PARTS(N_IS(6, DATE), MAYBE('N', 6, 6, DATE)), "01,02", "", "HARVEST DATE"},
    {"7008", "7008", false, {X_TO(3)}, "01,02", "", "AQUATIC SPECIES"},
    {"7009", "7009", false, {X_TO(10)}, "01,02", "", "FISHING GEAR TYPE"},
    {"7010", "7010", false, {X_TO(2)}, "01,02,03", "", "PROD METHOD"},
    {"7011", "7011", false, PARTS(N_IS(6, DATE), MAYBE('N', 4, 4, TIME)), "01,02,03", "", "TEST BY DATE"},
    {"7020", "7020", false, {X_TO(20)}, "01+416,03+416,8006+416", "", "REFURB LOT"},
    {"7021", "7021", false, {X_TO(20)}, "01,03,8006", "", "FUNC STAT"},
    {"7022", "7022", false, {X_TO(20)}, "01+7021,03+7021,8006+7021", "", "REV STAT"},
    {"7023", "7023", false, {X_KEY(30)}, "", "", "GIAI - ASSEMBLY"},
    {"7030", "7039", false, PARTS(N(3), X_TO(27)), "01,02", "", "PROCESSOR"},
    {"7040", "7040", false, PARTS(N(1), X(1), X(1), X(1)), "", "", "UIC+EXT"},
    {"7041", "7041", false, {X_TO(4)}, "00", "", "UFRGT UNIT TYPE"},
    {"710", "717", false, {X_TO(20)}, "01", "", "NHRN"},
    {"7230", "7239", false, PARTS(X(2), X_TO(28)), "01,8004", "", "CERT"},
    {"7240", "7240", false, {X_TO(20)}, "01,8006", "03", "PROTOCOL"},
    {"7241", "7241", false, {N(2)}, "8017,8018", "", "AIDC MEDIA TYPE"},
    {"7242", "7242", false, {X_TO(25)}, "8017,8018", "", "VCN"},
    {"7250", "7250", false, {N_IS(8, DATE_LONG)}, "8018", "7251", "DOB"},
    {"7251", "7251", false, PARTS(N_IS(8, DATE_LONG), N_IS(4, TIME)), "8018", "7250", "DOB TIME"},
    {"7252", "7252", false, {N(1)}, "8018", "", "BIO SEX"},
    {"7253", "7254", false, {X_TO(40)}, "8017,8018", "7256,7259", "FAMILY NAME, GIVEN NAME"},
    {"7255", "7255", false, {X_TO(10)}, "8017,8018", "7256,7259", "SUFFIX"},
    {"7256", "7256", false, {X_TO(90)}, "8017,8018", "", "FULL NAME"},
    {"7257", "7257", false, {X_TO(70)}, "8018", "", "PERSON ADDR"},
    {"7258", "7258", false, {{'X', 3, 3, AI_CHECK_OF_SEQUENCE, false}}, "8018+7259", "", "BIRTH SEQUENCE"},
    {"7259", "7259", false, {X_TO(40)}, "8018", "7256", "BABY"},
    {"8001", "8001", false, PARTS(N_IS(4, NOT_ZERO), N_IS(5, NOT_ZERO), N_IS(3, NOT_ZERO), N(1), N(1)), "01", "",
     "DIMENSIONS"},
    {"8002", "8002", false, {X_TO(20)}, "", "", "CMT No."},
    {"8003", "8003", false, PARTS(N_IS(1, ZERO), N_IS(13, MOD10), MAYBE('X', 1, 16, NONE)), "", "", "GRAI"},
    {"8004", "8004", false, {X_KEY(30)}, "", "", "GIAI"},
    {"8005", "8005", false, {N(6)}, "01,02", "", "PRICE PER UNIT"},
    {"8006", "8006", false, PARTS(N_IS(14, MOD10), N_IS(4, OF_TOTAL)), "", "01,03,37", "ITIP"},
    {"8007", "8007", false, {X_TO(34)}, "415", "", "IBAN"},
    {"8008", "8008", false, PARTS(N_IS(6, DATE), N_IS(2, HOUR), MAYBE('N', 2, 2, SIXTY), MAYBE('N', 2, 2, SIXTY)),
     "01,02,03", "", "PROD TIME"},
    {"8009", "8009", false, {X_TO(50)}, "00,01,03", "", "OPTSEN"},
    {"8010", "8010", false, {{'Y', 1, 30, AI_CHECK_KEY, false}}, "", "", "CPID"},
    {"8011", "8011", false, {{'N', 1, 12, AI_CHECK_NO_ZERO_FIRST, false}}, "8010", "", "CPID SERIAL"},
    {"8012", "8012", false, {X_TO(20)}, "01,03,8006", "", "VERSION"},
    {"8013", "8013", false, {{'X', 3, 25, AI_CHECK_PAIR, false}}, "", "", "GMN"},
    {"8014", "8014", false, {{'X', 3, 25, AI_CHECK_PAIR, false}}, "01", "", "MUDI"},
    {"8017", "8017", false, {N_IS(18, MOD10)}, "", "8018", "GSRN - PROVIDER"},
    {"8018", "8018", false, {N_IS(18, MOD10)}, "", "8017", "GSRN - RECIPIENT"},
    {"8019", "8019", false, {N_TO(10)}, "8017,8018", "", "SRIN"},
    {"8020", "8020", false, {X_TO(25)}, "415", "", "REF No."},
    {"8026", "8026", false, PARTS(N_IS(14, MOD10), N_IS(4, OF_TOTAL)), "37", "02,03,8006", "ITIP CONTENT"},
    {"8030",
     "8030",
     false,
     {{'Z', 1, 90, AI_CHECK_NONE, false}},
     "00,01+21,03+21,253,255,8003,8004,8006+21,8010+8011,8017,8018",
     "",
     "DIGSIG"},
    {"8040", "8040", false, {N(15)}, "01+21", "", "IMEI"},
    {"8041", "8041", false, {N(15)}, "01+21+8040", "", "IMEI2"},
    {"8042", "8042", false, {N(32)}, "01+21+8040", "", "ESIM"},
    {"8043", "8043", false, PARTS(N(18), MAYBE('N', 1, 2, NONE)), "01+21+8040", "", "PSIM"},
    {"8110", "8110", false, {X_TO(70)}, "", "", "COUPON"},
    {"8111", "8111", false, {N(4)}, "255", "", "POINTS"},
    {"8112", "8112", false, {X_TO(70)}, "", "", "COUPON"},
    {"8200", "8200", false, {X_TO(70)}, "01", "", "PRODUCT URL"},
    {"90", "90", false, {X_TO(30)}, "", "", "INTERNAL"},
    {"91", "99", false, {X_TO(90)}, "", "", "INTERNAL"},
};

static bool in_range(struct span text, const struct application_identifier *row, size_t length)
{
    if (text.length < length)
        return false;
    for (size_t i = 0; i < length; i++)
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
    return memcmp(text.at, row->first, length) >= 0 && memcmp(text.at, row->last, length) <= 0;
}

const struct application_identifier *application_identifier_find(struct span text, size_t *length)
{
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        const size_t digits = strlen(table[i].first);
        if (in_range(text, &table[i], digits)) {
            *length = digits;
            return &table[i];
        }
    }
    return NULL;
}

bool application_identifier_fits(const char *ai, const char *pattern, size_t length)
{
    if (strlen(ai) != length)
        return false;
    for (size_t i = 0; i < length; i++)
        if (pattern[i] != 'n' && pattern[i] != ai[i])
            return false;
    return true;
}

const struct application_identifier *application_identifier_row(size_t index)
{
    return index < sizeof table / sizeof *table ? &table[index] : NULL;
}

size_t application_identifier_longest(const struct application_identifier *kind)
{
    size_t longest = 0;
    for (size_t i = 0; i < AI_PARTS && kind->parts[i].set; i++)
        longest += kind->parts[i].max;
    return longest;
}
